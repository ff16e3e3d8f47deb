#!/usr/bin/env bash
# Installs the named programs where the system has a package for them; says how where it has not.
set -eu
missing=()
for program in "$@"; do command -v "$program" >/dev/null || missing+=("$program"); done
[ ${#missing[@]} -eq 0 ] && exit 0

package_of() { case $1 in ffmpeg|ffprobe) echo ffmpeg ;; *) echo "$1" ;; esac; }
packages=$(for program in "${missing[@]}"; do package_of "$program"; done | sort -u | tr '\n' ' ')

as_root=()
[ "$(id -u)" -eq 0 ] || as_root=(sudo)
if command -v apt-get >/dev/null; then
  echo "installing $packages"
  "${as_root[@]}" apt-get update -qq
  # shellcheck disable=SC2086 # a list of package names
  DEBIAN_FRONTEND=noninteractive "${as_root[@]}" apt-get install -y -qq --no-install-recommends $packages >/dev/null
elif command -v brew >/dev/null; then
  # shellcheck disable=SC2086
  brew install $packages
fi
for program in "${missing[@]}"; do
  command -v "$program" >/dev/null || { echo "$program is missing: see \"The video tool\" in README.md for this system" >&2; exit 1; }
done
