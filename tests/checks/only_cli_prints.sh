#!/bin/sh
# Fails when anything below cli/ prints, reads a terminal or ends the process:
# the library reports through hn_error and its caller decides.
. "$(dirname "$0")/lib_check.sh"

calls='printf|vprintf|puts|putchar|perror|exit|_exit|_Exit|quick_exit|abort|assert|raise|kill|system|popen|err|errx|warn|warnx'
# shellcheck disable=SC2046
code_of $(sources_outside cli) |
    { grep -E "(^|[^A-Za-z0-9_>.])($calls)[[:space:]]*\(|(^|[^A-Za-z0-9_])(stdin|stdout|stderr|STD(IN|OUT|ERR)_FILENO)([^A-Za-z0-9_]|$)" || true; } |
    report_faults "Only src/cli/ may print or end the process:"
