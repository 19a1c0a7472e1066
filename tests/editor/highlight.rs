//! Highlighting for editors, made of the registers: `EDITORS_REFRESH=1 cargo test highlighting` writes the files anew.
//! Whether editors colour what is meant is tried by their own engines: `tests/editor/highlighting/check.sh`.

use kneemark::ground::unit;
use kneemark::record::schema::{Kind, shared_keys};
use kneemark::record::sections;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::path::Path;

/// What a record is written with.
struct Words {
    sections: Vec<String>,
    keys: Vec<String>,
    columns: Vec<String>,
    units: Vec<String>,
    /// Words that a key or a column allows.
    choices: Vec<String>,
}

/// The longest first, so that no word hides one that it begins.
fn longest(words: impl Iterator<Item = String>) -> Vec<String> {
    let words: BTreeSet<String> = words.collect();
    let mut words: Vec<String> = words.into_iter().collect();
    words.sort_by_key(|word| std::cmp::Reverse(word.len()));
    words
}

fn of<'a>(word: &'a str, also: &'a [&'a str]) -> impl Iterator<Item = String> + 'a {
    std::iter::once(word)
        .chain(also.iter().copied())
        .map(str::to_owned)
}

impl Words {
    fn all() -> Self {
        let keys = || {
            sections::all()
                .flat_map(|section| section.keys)
                .chain(shared_keys())
        };
        let columns = || sections::all().flat_map(|section| section.columns);
        let kinds = keys()
            .map(|key| key.kind)
            .chain(columns().map(|column| column.kind));
        let choices = kinds.flat_map(|kind| match kind {
            Kind::Choice(words) => words,
            _ => &[],
        });
        Self {
            sections: longest(sections::all().flat_map(|section| of(section.name, section.also))),
            keys: longest(
                keys()
                    .flat_map(|key| of(key.word, key.also))
                    .chain(["format".to_owned()]),
            ),
            columns: longest(columns().flat_map(|column| of(column.word, column.also))),
            units: longest(unit::all().iter().map(|unit| unit.word.clone())),
            choices: longest(choices.map(|word| (*word).to_owned())),
        }
    }
}

/// A choice of words, for engines whose special characters are those of Perl.
fn perl(words: &[String]) -> String {
    let escaped = |word: &String| {
        let is_plain = |c: char| c.is_alphanumeric() || c == ' ' || !c.is_ascii();
        word.chars()
            .map(|c| {
                if is_plain(c) {
                    c.to_string()
                } else {
                    format!("\\{c}")
                }
            })
            .collect::<String>()
    };
    words.iter().map(escaped).collect::<Vec<_>>().join("|")
}

/// The same for Vim under `\v`.
fn vim(words: &[String]) -> String {
    let escaped = |word: &String| {
        let is_plain = |c: char| c.is_ascii_alphanumeric() || c == '_' || !c.is_ascii();
        word.chars()
            .map(|c| {
                if is_plain(c) {
                    c.to_string()
                } else {
                    format!("\\{c}")
                }
            })
            .collect::<String>()
    };
    words.iter().map(escaped).collect::<Vec<_>>().join("|")
}

/// A number with its sign or bound.
const NUMBER: &str = r"[<>≥≤+\-]?\d+(?:\.\d+)?";

fn textmate(words: &Words) -> String {
    let [sections, keys, columns, units, choices] = [
        &words.sections,
        &words.keys,
        &words.columns,
        &words.units,
        &words.choices,
    ]
    .map(|words| perl(words));
    let value = json!([
        {"include": "#remark"},
        {"name": "constant.other.date.kneemark", "match": r"(?<![\w.\-])\d{4}-\d{2}-\d{2}(?![\w\-])"},
        {"name": "variable.other.terminals.kneemark", "match": r"(?<![\w.\-])\d*[A-Za-z]+\d+-\d*[A-Za-z]+\d+(?![\w\-])"},
        {
            "match": format!(r"(?<![\w.\-])({NUMBER})(?:(\s*)({units})(?![\w/²]))?(?![\w.])"),
            "captures": {"1": {"name": "constant.numeric.kneemark"}, "3": {"name": "keyword.other.unit.kneemark"}},
        },
        {"name": "constant.language.kneemark", "match": format!(r"(?<![\w\-])({choices})(?![\w\-])")},
    ]);
    let grammar: Value = json!({
        "$comment": "Made of the registers of kneemark: EDITORS_REFRESH=1 cargo test highlighting",
        "name": "kneemark",
        "scopeName": "source.kneemark",
        "fileTypes": ["ctr"],
        "patterns": [
            {"name": "comment.line.number-sign.kneemark", "match": r"^\s*#.*$"},
            {"include": "#section"},
            {"include": "#aside"},
            {"include": "#field"},
            {"include": "#heading"},
            {"include": "#value"},
        ],
        "repository": {
            "remark": {"name": "comment.line.number-sign.kneemark", "match": r"(?<=[ \t])#(?=\s|$).*$"},
            "section": {
                "begin": format!(r"^\s*(\[)\s*(?:({sections})|([^\]\s]*))(?=[\s\]]|$)"),
                "end": r"(\])|$",
                "beginCaptures": {
                    "1": {"name": "punctuation.section.kneemark"},
                    "2": {"name": "keyword.control.section.kneemark"},
                    "3": {"name": "invalid.illegal.section.kneemark"},
                },
                "endCaptures": {"1": {"name": "punctuation.section.kneemark"}},
                "patterns": [{"include": "#value"}],
            },
            "aside": {
                "match": r"^\s*(not done(?=[\s:]|$)|amended:)",
                "captures": {"1": {"name": "keyword.other.aside.kneemark"}},
            },
            "field": {
                "begin": format!(r"^\s*({keys})(:)(?=\s|$)"),
                "end": "$",
                "beginCaptures": {
                    "1": {"name": "entity.name.tag.kneemark"},
                    "2": {"name": "punctuation.separator.kneemark"},
                },
                "patterns": [{"include": "#value"}],
            },
            "heading": {
                "match": format!(r"(?<![\w\-])({columns})(/)({units})(?![\w/])"),
                "captures": {
                    "1": {"name": "support.type.column.kneemark"},
                    "2": {"name": "punctuation.separator.kneemark"},
                    "3": {"name": "keyword.other.unit.kneemark"},
                },
            },
            "value": {"patterns": value},
        },
    });
    serde_json::to_string_pretty(&grammar).expect("it is JSON") + "\n"
}

fn vim_syntax(words: &Words) -> String {
    let [sections, keys, columns, units, choices] = [
        &words.sections,
        &words.keys,
        &words.columns,
        &words.units,
        &words.choices,
    ]
    .map(|words| vim(words));
    format!(
        r#"" Vim syntax file for records of kneemark.
" Made of the registers of kneemark: EDITORS_REFRESH=1 cargo test highlighting
if exists("b:current_syntax")
  finish
endif
syntax case match
syntax match kneemarkWord /\v[[:alnum:]_-]@<!%({choices})[[:alnum:]_-]@!/
syntax match kneemarkUnit contained /\v%({units})/
syntax match kneemarkNumber /\v[[:alnum:]_.-]@<![<>≥≤+-]?\d+%(\.\d+)?[[:alnum:]_.]@!/
syntax match kneemarkQuantity /\v[[:alnum:]_.-]@<![<>≥≤+-]?\d+%(\.\d+)?\s*%({units})[[:alnum:]_\/²]@!/ contains=kneemarkUnit,kneemarkDigits
syntax match kneemarkDigits contained /\v[<>≥≤+-]?\d+%(\.\d+)?/
syntax match kneemarkDate /\v[[:alnum:]_.-]@<!\d{{4}}-\d{{2}}-\d{{2}}[[:alnum:]_-]@!/
syntax match kneemarkTerminals /\v[[:alnum:]_.-]@<!\d*\a+\d+-\d*\a+\d+[[:alnum:]_-]@!/
syntax match kneemarkHeading /\v[[:alnum:]_-]@<!%({columns})\/%({units})[[:alnum:]_\/]@!/ contains=kneemarkColumn,kneemarkUnit
syntax match kneemarkColumn contained /\v%({columns})\ze\//
syntax match kneemarkKey /\v^\s*%({keys})\ze:%(\s|$)/
syntax match kneemarkAside /\v^\s*%(not done\ze%([ \t:]|$)|amended:)/
syntax match kneemarkOdd /\v^\s*\[\s*\zs[^\] \t]*/
syntax match kneemarkSection /\v^\s*\[\s*\zs%({sections})\ze%([ \t\]]|$)/
syntax match kneemarkRemark /\v[ \t]\zs#%(\s.*)?$/
syntax match kneemarkRemark /\v^\s*#.*$/
highlight default link kneemarkWord Constant
highlight default link kneemarkUnit Type
highlight default link kneemarkNumber Number
highlight default link kneemarkDigits Number
highlight default link kneemarkDate Constant
highlight default link kneemarkTerminals Identifier
highlight default link kneemarkColumn Statement
highlight default link kneemarkKey Statement
highlight default link kneemarkAside PreProc
highlight default link kneemarkOdd Error
highlight default link kneemarkSection Keyword
highlight default link kneemarkRemark Comment
let b:current_syntax = "kneemark"
"#
    )
}

/// What an editor that reads TextMate grammars has to know of the file type.
fn package() -> String {
    let package = json!({
        "name": "kneemark-records",
        "displayName": "kneemark records",
        "version": "0.1.0",
        "publisher": "kneemark",
        "license": "Apache-2.0",
        "engines": {"vscode": "^1.75.0"},
        "contributes": {
            "languages": [{"id": "kneemark", "aliases": ["kneemark record"], "extensions": [".ctr"], "configuration": "./language-configuration.json"}],
            "grammars": [{"language": "kneemark", "scopeName": "source.kneemark", "path": "./kneemark.tmLanguage.json"}],
        },
    });
    serde_json::to_string_pretty(&package).expect("it is JSON") + "\n"
}

fn configuration() -> String {
    let configuration = json!({"comments": {"lineComment": "#"}, "brackets": [["[", "]"]]});
    serde_json::to_string_pretty(&configuration).expect("it is JSON") + "\n"
}

/// The files for editors are those of this program.
#[test]
fn highlighting_is_fresh() {
    let words = Words::all();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/editors");
    let refresh = std::env::var("EDITORS_REFRESH").is_ok_and(|set| set == "1")
        && std::env::var("CI").is_err();
    for (name, text) in [
        ("kneemark.tmLanguage.json", textmate(&words)),
        ("kneemark.vim", vim_syntax(&words)),
        ("package.json", package()),
        ("language-configuration.json", configuration()),
    ] {
        let path = folder.join(name);
        if refresh {
            std::fs::write(&path, &text).unwrap();
        }
        let there = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            there == text,
            "{name} is stale: EDITORS_REFRESH=1 cargo test highlighting"
        );
    }
}
