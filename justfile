# Everything that is done here by hand. `just --list` is the table of contents.

# The tests, as the README and CI run them.
test:
    cargo test --workspace --locked

# The published description and schema, made anew from the code; the examples' answers before them.
spec:
    RENEW_EXAMPLES=1 cargo test --locked --test http every_example
    RENEW_SPEC=1 cargo test --locked --test http the_published_description
    RENEW_SCHEMA=1 cargo test --locked --test event the_schema_file

# What CI runs.
ci:
    .ci/run

# The demo: the service on a throw-away store, fed with an invented season.
demo *options:
    cargo run --release -p demo-feed -- {{options}}

# The service on a store of one's own.
serve *options:
    cargo run --release -- serve {{options}}

# Thousands of requests that the description allows and forbids, against the built program.
conform:
    cargo test --locked --test clients -- --include-ignored

# What the verdicts promise, measured on players whose truth is known: writes tests/lab/results/.
lab *options:
    cargo test --release --locked --test lab -- --full {{options}}

# Formatting and lints.
lint:
    cargo fmt --all --check
    cargo clippy --workspace --all-targets --locked -- -D warnings

# Fuzzes one of tests/fuzz/targets for so many seconds; `cargo install cargo-fuzz --locked` first.
fuzz target seconds:
    mkdir -p tests/fuzz/target/found/{{target}}
    cargo fuzz run --fuzz-dir tests/fuzz -s none {{target}} tests/fuzz/target/found/{{target}} \
        tests/fuzz/corpus/{{target}} -- -max_total_time={{seconds}} -max_len=4096

# Licences, sources and bans; advisories where a database is at hand.
deny:
    cargo deny check licenses sources bans
    -cargo deny check advisories
