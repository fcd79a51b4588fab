# shellcheck shell=bash
# Shared by ./start and ./check: packages of Debian 12 and the build.

# What the program needs, and what its tests need on top.
RUN_PACKAGES=(g++ cmake ninja-build pkg-config libfmt-dev libeigen3-dev nlohmann-json3-dev libcli11-dev
              libtomlplusplus-dev libutf8proc-dev coinor-libcbc-dev zlib1g-dev libbz2-dev liblapack-dev libblas-dev
              libcairo2-dev libpango1.0-dev fonts-dejavu-core libqrencode-dev libmd-dev)
TEST_PACKAGES=(libgtest-dev libgmock-dev librapidcheck-dev libgsl-dev libsundials-dev libvalijson-dev
               libxml2-dev poppler-utils zbar-tools librsvg2-bin
               libclang-rt-14-dev shellcheck)

# Tests that a sanitizer makes too slow to be worth it; they run in the plain build.
# shellcheck disable=SC2034
SLOW_UNDER_SANITIZERS='NOTHING_IS_LEFT_OUT'

missing_packages() {
    local package
    for package in "$@"; do
        dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'ok installed' || echo "$package"
    done
}

install_packages() {
    local wanted=("${RUN_PACKAGES[@]}") missing
    [ "$1" = test ] && wanted+=("${TEST_PACKAGES[@]}")
    mapfile -t missing < <(missing_packages "${wanted[@]}")
    [ "${#missing[@]}" -eq 0 ] && return
    echo "== installing: ${missing[*]}"
    local as_root=()
    if [ "$(id -u)" -ne 0 ]; then
        if command -v sudo >/dev/null; then as_root=(sudo)
        else
            echo "These packages are missing: ${missing[*]}" >&2
            echo "Ask an administrator for: apt-get install ${missing[*]}" >&2
            exit 1
        fi
    fi
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get update -qq
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
}

# build_in DIR TARGET [CMAKE OPTIONS]
build_in() {
    local dir=$1 target=$2
    shift 2
    cmake -S . -B "$dir" -G Ninja "$@" >/dev/null
    cmake --build "$dir" --target "$target"
}

build() {
    if [ "$1" = all ]; then build_in build all -DVOLTSILL_TESTS=ON
    else build_in build "$1" -DVOLTSILL_TESTS=OFF
    fi
}
