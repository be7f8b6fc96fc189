#!/bin/sh
# Runs every test of the workspace: unit, whole-project, documentation, PDF and browser tests.
#
# Works on a fresh machine with Rust. Uses cargo-nextest where it is installed and cargo test where not. The browser
# tests need a Chromium and its driver; on a Debian system they are installed when this runs as root. Tests that compare
# with weather, load and meter files find them in the folder named by WATTWRIGHT_DATA. What was not run is listed at the
# end and counted as skipped; with CI=true skipped browser tests are a failure.
#
# The last line reads: N passed, N failed, N skipped.
set -u
cd "$(dirname "$0")" || exit 1
ci=${CI:-false}
log=target/test-log
mkdir -p "$log" || exit 1
: >"$log/skipped"
failed_step=0

# ── Features: the PDF writer and the browser tests are built into the same run, so that everything is compiled once ──
features=typeset/pdf
if grep -q '^pdf *=' crates/cli/Cargo.toml; then
    features=$features,wattwright/pdf
fi

browser_tests=crates/proof/tests/browser.rs
have_browser() {
    { command -v chromium || command -v chromium-browser || command -v google-chrome; } >/dev/null 2>&1 &&
        command -v chromedriver >/dev/null 2>&1
}
browser_skipped=0
if [ -f "$browser_tests" ]; then
    if ! have_browser && [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
        echo "installing Chromium and its driver for the browser tests"
        { apt-get update && DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends \
            chromium chromium-driver fonts-dejavu-core; } >"$log/browser-install" 2>&1 ||
            echo "that did not work, see $log/browser-install"
    fi
    if have_browser; then
        features=$features,proof/browser
        # The rules of accessibility (axe-core, MPL-2.0) are brought for the test and are no part of the project.
        if [ ! -f target/axe/package/axe.min.js ] && command -v npm >/dev/null 2>&1; then
            mkdir -p target/axe
            (cd target/axe && npm pack axe-core@4.14.1 --silent && tar xzf axe-core-4.14.1.tgz) >"$log/axe-fetch" 2>&1 ||
                echo "the rules of accessibility could not be brought, see $log/axe-fetch"
        fi
    else
        browser_skipped=$(cat crates/proof/tests/browser*.rs | grep -c 'fn browser_')
        echo "$browser_skipped browser tests: no Chromium with chromedriver on this machine" >>"$log/skipped"
    fi
fi
if [ -z "${WATTWRIGHT_DATA:-}" ]; then
    echo "note: WATTWRIGHT_DATA is not set, comparisons with weather, load and meter files will be skipped"
fi

# ── Unit, whole-project, PDF and browser tests ───────────────────────────────────────────────────────────────────────
passed=0
failed=0
skipped=$browser_skipped
add_results() { # of the "test result:" lines in a file
    passed=$((passed + $(awk '/^test result:/ { n += $4 } END { print n + 0 }' "$1")))
    failed=$((failed + $(awk '/^test result:/ { n += $6 } END { print n + 0 }' "$1")))
    skipped=$((skipped + $(awk '/^test result:/ { n += $8 } END { print n + 0 }' "$1")))
}
# A test that finds nothing to compare with passes and says "skipped: why"; it is counted as skipped here.
if command -v cargo-nextest >/dev/null 2>&1; then
    report=target/nextest/default/junit.xml
    rm -f "$report"
    cargo nextest run --workspace --features "$features" --no-fail-fast || failed_step=1
    if [ -f "$report" ]; then
        awk '
            /<testsuites / {
                if (match($0, / tests="[0-9]+"/)) tests = substr($0, RSTART + 8, RLENGTH - 9)
                if (match($0, / failures="[0-9]+"/)) bad = substr($0, RSTART + 11, RLENGTH - 12)
                if (match($0, / errors="[0-9]+"/)) bad += substr($0, RSTART + 9, RLENGTH - 10)
            }
            /<testcase / { match($0, / name="[^"]*"/); name = substr($0, RSTART + 7, RLENGTH - 8); counted = 0 }
            /<failure/ { counted = 1 }
            /skipped: / && !counted {
                counted = 1; left_out++
                line = $0; sub(/.*skipped: /, "", line); sub(/<.*/, "", line)
                print name ": " line >> skips
            }
            END { print tests - bad - left_out, bad + 0, left_out + 0 > counts }
        ' skips="$log/skipped" counts="$log/counts" "$report"
        read -r p f s <"$log/counts"
        passed=$((passed + p)) failed=$((failed + f)) skipped=$((skipped + s))
    else
        echo "the tests did not start"
        failed_step=1
    fi
else
    cargo test --workspace --features "$features" --no-fail-fast --lib --bins --tests --examples -- --show-output \
        >"$log/tests" 2>&1 || failed_step=1
    if [ "$failed_step" = 1 ]; then cat "$log/tests"; else grep -E '^(test |test result:|     Running)' "$log/tests"; fi
    add_results "$log/tests"
    said=$(grep -c '^skipped: ' "$log/tests")
    sed -n 's/^skipped: /a comparison: /p' "$log/tests" >>"$log/skipped"
    passed=$((passed - said)) skipped=$((skipped + said))
fi

# ── Documentation examples ───────────────────────────────────────────────────────────────────────────────────────────
cargo test --workspace --features "$features" --no-fail-fast --doc >"$log/doc-tests" 2>&1 || {
    failed_step=1
    cat "$log/doc-tests"
}
add_results "$log/doc-tests"

# ── What was not run ─────────────────────────────────────────────────────────────────────────────────────────────────
if [ -s "$log/skipped" ]; then
    echo
    echo "skipped:"
    sed 's/^/  /' "$log/skipped"
fi
if [ "$ci" = true ] && [ "$browser_skipped" -gt 0 ]; then
    echo "the browser tests must run where CI=true"
    failed_step=1
fi
echo "$passed passed, $failed failed, $skipped skipped"
[ "$failed_step" = 0 ] && [ "$failed" = 0 ]
