# shellcheck shell=bash
# Shared by ./start and ./check: packages of Debian 12 and the build.

# What the program needs, and what its tests need on top.
RUN_PACKAGES=(g++ cmake ninja-build pkg-config libfmt-dev libeigen3-dev nlohmann-json3-dev libcli11-dev
              libtomlplusplus-dev libutf8proc-dev coinor-libcbc-dev zlib1g-dev libbz2-dev liblapack-dev libblas-dev
              libcairo2-dev libpango1.0-dev fonts-dejavu-core libqrencode-dev libmd-dev
              libmicrohttpd-dev libsqlite3-dev libsodium-dev)
TEST_PACKAGES=(libgtest-dev libgmock-dev librapidcheck-dev libgsl-dev libsundials-dev libvalijson-dev
               libxml2-dev libgnutls28-dev groff-base dpkg-dev poppler-utils zbar-tools librsvg2-bin
               libclang-rt-14-dev shellcheck chromium)
# The page is built with Node; one that is there already, from wherever, will do.
command -v node >/dev/null && command -v npm >/dev/null || RUN_PACKAGES+=(nodejs npm)

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
    local apt=("${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get)
    "${apt[@]}" update -qq
    "${apt[@]}" install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
}

# build run: the program; build test: it and all of its tests, a second time under sanitizers
build() {
    if [ "$1" = test ]; then cmake -S . -B build -G Ninja -DVOLTSILL_TESTS=ON -DVOLTSILL_SANITIZE=ON >/dev/null
    else cmake -S . -B build -G Ninja -DVOLTSILL_TESTS=OFF -DVOLTSILL_SANITIZE=OFF >/dev/null
    fi
    cmake --build build --target "$2"
}
