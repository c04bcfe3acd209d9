#!/usr/bin/env bash
# The benchmark's player and sounds, from Debian's packages; says why where that cannot be.
# With --others also the general tools measured beside ours. Usage: install.sh PYTHON [the benchmark's options]
set -u
python=$1
shift

packages_missing() {
    ! command -v fluidsynth >/dev/null || [ ! -e /usr/share/sounds/sf2/FluidR3_GM.sf2 ]
}

if packages_missing; then
    if ! command -v apt-get >/dev/null; then
        echo "fluidsynth and its soundfont are not here, and this system has no apt-get: install fluidsynth and FluidR3_GM.sf2 by hand."
    elif [ "$(id -u)" != 0 ]; then
        echo "fluidsynth and its soundfont are not here: run 'sudo apt-get install fluidsynth fluid-soundfont-gm', then this again."
    else
        apt-get update -qq
        DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends fluidsynth fluid-soundfont-gm >/dev/null ||
            echo "fluidsynth and its soundfont could not be installed (is there a network?)."
    fi
fi

case " $* " in
*" --others "*)
    "$python" -m pip install --quiet --disable-pip-version-check -r "$(dirname "$0")/requirements.txt" ||
        echo "The general tools could not be installed; their rows are left out."
    ;;
esac
exit 0
