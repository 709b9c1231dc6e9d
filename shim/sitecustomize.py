import sys


class B:
    def find_spec(s, n, p=None, t=None):
        if n.split(".")[0] == "click":
            raise ModuleNotFoundError("No module named 'click'", name="click")


sys.meta_path.insert(0, B())
