#!/usr/bin/env bash
# Every check of the project: format, lints without warnings, all tests. Needs a Rust toolchain (rustup's stable, 1.90 or
# newer, with rustfmt and clippy); cargo brings the rest.
set -euo pipefail
cd "$(dirname "$0")/.."

command -v cargo >/dev/null || { echo "cargo is missing: install Rust (rustup, stable toolchain with rustfmt and clippy)" >&2; exit 1; }
cargo fmt --version >/dev/null 2>&1 || rustup component add rustfmt
cargo clippy --version >/dev/null 2>&1 || rustup component add clippy

cargo fmt --all --check
cargo clippy --workspace --all-targets -- -D warnings
cargo test --workspace
