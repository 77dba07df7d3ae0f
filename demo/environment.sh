# Sourced by demo/run and tests/run: a virtual environment of the project's own, installed anew when pyproject changes.

# make_environment FOLDER [EXTRA]: afterwards FOLDER/bin holds python and sapwood. Run from the project's folder.
make_environment() {
    local folder=$1 extra=${2:-} python stamp wanted
    stamp=$folder/installed-${extra:-plain}
    if [ ! -x "$folder/bin/python" ] || ! "$folder/bin/python" -c pass 2>/dev/null; then
        python=$(find_python) || return 1
        rm -rf "$folder"
        "$python" -m venv "$folder" || { tell_venv "$python"; return 1; }
    fi
    wanted=$(cat pyproject.toml demo/environment.sh | cksum; pwd)
    if [ ! -f "$stamp" ] || [ "$(cat "$stamp")" != "$wanted" ]; then
        echo "Setting up $folder (once; needs the network) ..." >&2
        "$folder/bin/python" -m pip install --quiet --disable-pip-version-check --editable ".${extra:+[$extra]}" || {
            echo "The libraries could not be installed; see above." >&2
            return 1
        }
        printf '%s' "$wanted" > "$stamp"
    fi
}

# Prints the first Python of 3.11 or later that can make an environment, or says the one command that brings it.
find_python() {
    local name found=
    for name in ${PYTHON:-} python3 python3.14 python3.13 python3.12 python3.11; do
        command -v "$name" > /dev/null || continue
        "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null || continue
        if "$name" -c 'import ensurepip, venv' 2>/dev/null; then
            command -v "$name"
            return 0
        fi
        found=${found:-$name}
    done
    tell_venv "$found"
    return 1
}

tell_venv() {
    if [ -n "$1" ]; then
        echo "Python's venv module is missing. This brings it:" >&2
        echo "    sudo apt-get install -y $("$1" -c 'import sys; print("python%d.%d-venv" % sys.version_info[:2])')" >&2
    else
        echo "Python 3.11 or later is missing. This brings it:" >&2
        echo "    sudo apt-get install -y python3 python3-venv" >&2
    fi
}
