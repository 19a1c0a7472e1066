//! The generated pages: sections, diagnostics, formulas.

use super::same;
use kneemark::derive::formulas;
use kneemark::ground::diagnostic::Code;
use kneemark::judge::requirement;
use kneemark::judge::rules::{self, Whose};
use kneemark::record::kinds::TestKind;
use kneemark::record::schema::shared_keys;
use kneemark::record::sections;
use kneemark::report::manual::{self, Said};
use kneemark::trade::Purpose;
use std::fmt::Write as _;

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

/// What the program says of something, as a page has it.
fn page(said: &[Said]) -> String {
    let mut text = String::new();
    let mut in_list = false;
    for one in said {
        let item = matches!(one, Said::Item(_));
        let before = if item && in_list { "" } else { "\n" };
        let mark = if item { "- " } else { "" };
        let _ = writeln!(text, "{before}{mark}{}", one.text());
        in_list = item;
    }
    text
}

#[test]
fn the_page_of_sections_is_the_schema() {
    let mut text = String::from(
        "# Sections, keys, columns\n\nMade from the program's own schema. In a test section the pair is the driven one and may be left\n\
         out; every test section also knows the keys at the end of this page.\n",
    );
    for section in sections::all() {
        let _ = write!(text, "\n## `{}`\n\n{}.\n", section.opening(), section.doc);
        if !section.keys.is_empty() {
            text.push_str("\n| key | value | |\n|---|---|---|\n");
            for key in section.keys {
                let _ = writeln!(
                    text,
                    "| `{}:` | {} | {} |",
                    key.word,
                    cell(&key.kind.words()),
                    cell(key.doc)
                );
            }
        }
        if !section.columns.is_empty() {
            text.push_str("\n| column | value | |\n|---|---|---|\n");
            for column in section.columns {
                let _ = writeln!(
                    text,
                    "| `{}` | {} | {} |",
                    column.word,
                    cell(&column.kind.words()),
                    cell(column.doc)
                );
            }
        }
    }
    text.push_str("\n## Keys of every test section\n\n| key | value | |\n|---|---|---|\n");
    for key in shared_keys() {
        let _ = writeln!(
            text,
            "| `{}:` | {} | {} |",
            key.word,
            cell(&key.kind.words()),
            cell(key.doc)
        );
    }
    same("sections.md", &text);
}

/// The smallest record of a rule and what it says, as the test of rules keeps them.
fn example(id: &str) -> String {
    let file = |ending: &str| {
        let path = format!("{}/tests/rules/{id}.{ending}", env!("CARGO_MANIFEST_DIR"));
        std::fs::read_to_string(path).unwrap_or_default()
    };
    format!(
        "```text\n{}\n```\n\nsays:\n\n```text\n{}\n```\n",
        file("ctr").trim_end(),
        file("txt").trim_end()
    )
}

#[test]
fn the_page_of_columns_is_the_list() {
    let mut text = String::from(
        "# Columns of an archive\n\nMade from the program's own list, which every format goes by. Any cell may be empty.\n",
    );
    for table in kneemark::archive::columns::tables() {
        let _ = write!(
            text,
            "\n## `{}`\n\n{}.\n\n| column | holds | |\n|---|---|---|\n",
            table.name, table.doc
        );
        for column in table.columns {
            let (name, kind) = (column.name, column.kind.word());
            let _ = writeln!(text, "| `{name}` | {kind} | {} |", cell(column.doc));
        }
    }
    same("columns.md", &text);
}

#[test]
fn the_page_of_findings_is_the_register() {
    let mut text = String::from(
        "# Findings\n\nMade from the program's register of rules. Every finding of `check` and of its JSON bears the name of its\n\
         rule. The records are the smallest that fire it; below each is what its finding says. Grades are the same everywhere: **fails, review, open, pass, info**.\n",
    );
    for kind in TestKind::ALL {
        let of = || rules::all().filter(|rule| rule.kind == *kind);
        if of().next().is_some() {
            let _ = write!(text, "\n## {}\n", kind.title());
        }
        for rule in of() {
            let said = page(&manual::rule(rule));
            let _ = write!(text, "\n### `{}`\n{said}\n{}", rule.id, example(rule.id));
        }
    }
    same("findings.md", &text);
}

#[test]
fn the_page_of_requirements_is_the_register() {
    let mut text = String::from(
        "# Requirements and verdict\n\nMade from the program's register of requirements.\n\n\
         Before any reading is looked at, rating plate, standard, criteria and duty say what is required of a transformer and of the\n\
         circuit it serves. Findings are evidence. Each requirement comes out as\n\n\
         - **met**, or *met conditionally*: nearer to the limit than the decision rule likes;\n\
         - **measured**: it was to be measured, and no limit is known, or none that the test can show to be met;\n\
         - **not met**;\n\
         - **not decided**: tested, and what was read cannot say; or the plate leaves open what is required: no class, no standard, no\n\
         rated burden, whatever was tested;\n\
         - **withheld**: tested, and a doubt stands against it: residual magnetism, a shorted turn, a closed primary loop, a wrong tap, an\n\
         instrument off against itself, an unsteady resistance, a line that is not understood;\n\
         - **not shown**: with what is missing;\n\
         - **not tested**: with the reason that the record gives.\n\n\
         What is *due* follows from the purpose of the visit, by the table below. What is not due stays on the list: as an earlier visit (the\n\
         maker's certificate, say) showed it, or as not shown, where a test of it is on record with what that lacks.\n\n\
         Several visits can answer together: a `retest` or an `investigation` with what it goes on with, however late; the same purpose within 31\n\
         days, at the same place; what is done before and after energising with the work that it ends. What either asks for is due then. A later finding takes the place of an earlier one only where it says as much: at the same current and burden, at no lower test\n\
         voltage, for no shorter time. What failed stands until then, at later visits as well, and is told with its visit. What a later visit\n\
         changed withholds what rested on it: a circuit that was opened again and whose state as left is not told, a winding resistance or a\n\
         burden that is another one now.\n\n\
         The verdict is one line for the transformer and one for the circuit:\n\n\
         - **pass**: everything that is due is met, on every core in use, or on every core of a unit that has none in use;\n\
         - **nothing asked**: nothing is due at a visit of this purpose, or no purpose is stated, and what was tested is in order;\n\
         - **no limit exceeded in what was tested** (counted as *incomplete*): something that is due was not shown;\n\
         - **open**: what was tested cannot say, or something is for review; which, stands behind the count;\n\
         - **fails**: a requirement is not met.\n\n\
         What is only a matter of the way of measuring fails no transformer: it asks for the test again. A verdict is never a clearance to\n\
         energise.\n",
    );
    for whose in [Whose::Transformer, Whose::Circuit] {
        let _ = write!(
            text,
            "\n## Of the {}\n\n| requirement | | needs | shown by | due at | source |\n|---|---|---|---|---|---|\n",
            whose.word()
        );
        for one in requirement::ALL.iter().filter(|one| one.whose == whose) {
            let rules: Vec<String> = one
                .evidence
                .iter()
                .map(|rule| format!("`{}`", rule.id))
                .collect();
            let due: Vec<String> = one.due.iter().map(ToString::to_string).collect();
            let _ = writeln!(
                text,
                "| `{}` | {}: {} | {} | {} | {} | {} |",
                one.id,
                cell(one.title),
                one.proof_words(),
                cell(one.needs),
                rules.join(", "),
                due.join(", "),
                cell(one.source)
            );
        }
    }
    text.push_str(
        "\n## What is due\n\nThe lists that hold where criteria.toml has none of its own, as they would stand there. A retest asks for what \
         the visits\nbefore it left open.\n\n```toml criteria\n[due]\n",
    );
    for purpose in <Purpose as strum::VariantArray>::VARIANTS {
        let due = requirement::ALL
            .iter()
            .filter(|one| one.due.contains(purpose));
        let due: Vec<String> = due.map(|one| format!("    \"{}\",\n", one.id)).collect();
        if !due.is_empty() {
            let _ = writeln!(text, "\"{purpose}\" = [\n{}]", due.concat());
        }
    }
    text.push_str("```\n");
    same("requirements.md", &text);
}

#[test]
fn the_page_of_diagnostics_lists_every_code() {
    let mut text = String::from(
        "# Diagnostics\n\nEvery diagnostic has a stable name. Each has a smallest example with its full text in `tests/corpus/`.\n\n\
         | name | | what it means |\n|---|---|---|\n",
    );
    for code in Code::ALL {
        let _ = writeln!(
            text,
            "| `{}` | {} | {} |",
            code.name(),
            code.severity().word(),
            cell(code.what())
        );
    }
    same("diagnostics.md", &text);
}

#[test]
fn the_page_of_formulas_is_the_ledgers() {
    let mut text = String::from(
        "# Formulas\n\nEvery formula the program computes with, as the program states it. A test evaluates each text and compares it with\n\
         the code on seeded inputs, and each derivative with a difference quotient.\n",
    );
    for formula in formulas::all() {
        let about = formula.about();
        let said = page(&manual::formula(about));
        let (what, said, name) = (about.what, said.trim_end(), about.name);
        let _ = write!(text, "\n## {what}\n{said} Name: `{name}`.\n");
    }
    same("formulas.md", &text);
}
