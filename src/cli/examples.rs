//! What `--help` shows below the options of each command. A test runs every one of them.

pub const CHECK: &str = "\
Examples:
  kneemark check first.ctr
  kneemark check --all first.ctr
  kneemark check --format short --fail-on review records/
  kneemark check --format sarif first.ctr";

pub const PACK: &str = "\
Examples:
  kneemark pack records/pack.toml -o out
  kneemark pack records/pack.toml -o out --pdf";

pub const VERIFY: &str = "\
Examples:
  kneemark verify reports/brw-26-00042.html first.ctr
  kneemark verify reports/brw-26-00042.md first.ctr";

pub const REPORT: &str = "\
Examples:
  kneemark report first.ctr -o reports
  kneemark report first.ctr -o reports --paper letter --decimal-comma";

pub const DIFF: &str = "\
Examples:
  kneemark diff first.ctr h07-l1.ctr
  kneemark diff records/ records/ --format markdown
  kneemark diff --text first.ctr";

pub const FMT: &str = "\
Examples:
  kneemark fmt first.ctr
  kneemark fmt --check records/
  kneemark fmt --diff records/
  kneemark fmt - < first.ctr";

pub const WORKSHEET: &str = "\
Examples:
  kneemark worksheet first.ctr -o sheets
  kneemark worksheet first.ctr -o sheets --purpose maintenance --temperature 12 --core 1S
  kneemark worksheet h07-l1.ctr --set h07-l2.ctr h07-l3.ctr -o sheets";

pub const WATCH: &str = "\
Examples:
  kneemark watch first.ctr
  kneemark watch records/ --port 8400";

pub const IMPORT_READINGS: &str = "\
Examples:
  kneemark import readings curve.csv --as excitation --on 1S1-1S2
  kneemark import readings curve.csv --as excitation --on 1S1-1S2 --columns voltage/V,current/mA --key \"voltmeter: mean\"";

pub const IMPORT_SHEET: &str = "\
Examples:
  kneemark import sheet bay.csv records/ --day 2026-09-14 --purpose maintenance --dry-run
  kneemark import sheet bay.csv records/ --day 2026-09-14 --purpose maintenance";

pub const IMPORT_PLATES: &str = "\
Examples:
  kneemark import plates plates.csv -o new";

pub const SHEET: &str = "\
Examples:
  kneemark sheet records/
  kneemark sheet records/ --blank maintenance --tests resistance,burden -o bay-blank.csv";

pub const EXPORT: &str = "\
Examples:
  kneemark export records/ --to tables
  kneemark export records/ --to fleet --format parquet
  kneemark export first.ctr --to - --table cores";

pub const EXPLAIN: &str = "\
Without a name all of them are listed, one a line: diagnostics, rules, requirements, limits, formulas, \
sections, keys, columns.

Examples:
  kneemark explain
  kneemark explain composite-error decimal-comma
  kneemark explain first.ctr:12
  kneemark explain first.ctr:42:10 --all";

pub const LSP: &str = "\
An editor starts it and talks to it; how to tell an editor so is in the chapter Editors of the manual.";

pub const NEW: &str = "\
A core is one --core value: its name, then what its plate shows. Class, burden and ratio need no key; \
everything else has the key of [core] before it (knee, exciting, resistance, marks, use …). \
Taps come last, each pair with its ratio.

Examples:
  kneemark new -o blank.ctr
  kneemark new --id BRW-26-00051 --standard \"IEC 61869-2:2012\" --voltage \"145 kV\" \\
    --core \"1S 0.5 FS10 15 VA 600/1 A\" \\
    --core \"2S PX 600/1 A knee 300 V exciting 30 mA at 300 V resistance 3.40 ohm at 75 C\" \\
    --core \"3S 5P20 15 VA 600/1 A, 3S1-3S2 300/1, 3S1-3S3 600/1\" -o h07-l1.ctr
  kneemark new --from h07-l1.ctr --purpose maintenance
  kneemark new --from h07-l1.ctr --purpose retest --append";
