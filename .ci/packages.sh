# Part of .ci/test: what the stages need of Debian, and its installation.

# needed prints the packages of the chosen stages, one to a line; "command:package" where any provider of a command will do.
needed() {
  echo ca-certificates gcc libc6-dev
  if wanted vet || wanted lint || wanted unit || wanted race || wanted display || wanted builds; then
    echo libx11-dev libxrandr-dev libxxf86vm-dev libxi-dev libxcursor-dev libxinerama-dev libxext-dev libgl-dev
  fi
  if wanted unit || wanted race; then echo postgresql; fi
  if wanted display; then
    echo libgl1 libegl1 libgles2 libgl1-mesa-dri xvfb xauth xdotool
  fi
  if wanted browser; then echo chromium:chromium; fi
  if wanted bits; then echo node:nodejs qemu-aarch64-static:qemu-user-static; fi
}

# missing prints those that are not there.
missing() {
  for item in $(needed); do
    case $item in
      *:*) command -v "${item%%:*}" >/dev/null || echo "${item#*:}" ;;
      *) dpkg-query -W -f='${Status}' "$item" 2>/dev/null | grep -q 'ok installed' || echo "$item" ;;
    esac
  done
}

install_packages() {
  if ! command -v apt-get >/dev/null || ! command -v dpkg-query >/dev/null; then
    echo "== packages: this is not Debian, so nothing is installed; the stages need" $(needed | sed 's/[^ ]*://g')
    return 0
  fi
  absent=$(echo $(missing))
  [ -n "$absent" ] || return 0
  if [ "$install" = no ]; then
    echo "test: missing, and not installed because of --no-install: $absent" >&2
    return 1
  fi
  if [ "$(id -u)" = 0 ]; then
    as_root=
  elif command -v sudo >/dev/null; then
    # Without a terminal nobody can type a password.
    if [ -t 0 ]; then as_root=sudo; else as_root='sudo -n'; fi
  else
    echo "test: these Debian packages are missing, and this user is neither root nor has sudo: $absent" >&2
    echo "hint: as root, apt-get install $absent" >&2
    return 1
  fi
  began=$(date +%s)
  echo "== installing $absent"
  log=$out/apt.log
  if ! { $as_root env DEBIAN_FRONTEND=noninteractive apt-get update -q </dev/null &&
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $absent </dev/null; } >"$log" 2>&1; then
    tail -20 "$log"
    echo "test: apt-get could not install $absent" >&2
    return 1
  fi
  echo "== packages installed ($(($(date +%s) - began)) s)"
}
