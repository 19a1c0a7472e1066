//! The language of templates: what it does, what it refuses, and its bounds.

use super::{DEEPEST, MOST_BYTES, MOST_TAGS, MOST_TIMES, MOST_WORDS, Template};
use crate::document::{Block, Filling, Pictures, TemplateFault, Templates, Text};
use std::collections::BTreeMap;

fn filling() -> Filling {
    let mut filling = Filling::default();
    filling.text("a", "*x* <b>");
    let strong = [Block::Paragraph(Text::strong("y"))];
    filling.blocks("b", &strong, &mut Pictures::new());
    filling.flag("yes", true);
    filling.flag("no", false);
    filling.part("empty", String::new());
    filling
}

fn filled(file: &str, text: &str) -> String {
    let template = Template::read(file, text).unwrap_or_else(|told| panic!("{text}: {told}"));
    template
        .fill(&filling())
        .unwrap_or_else(|told| panic!("{text}: {told}"))
}

fn refused(text: &str) -> TemplateFault {
    let read = Template::read("ct.md", text);
    let told = read.and_then(|template| template.fill(&filling()));
    told.expect_err(text)
}

#[test]
fn texts_are_escaped_and_parts_are_not() {
    assert_eq!(
        filled("ct.md", "{{ a }} {{b}}").trim_end(),
        "\\*x\\* \\<b\\> **y**"
    );
    assert_eq!(
        filled("page.html", "<i>{{ a }}</i>\n"),
        "<i>*x* &lt;b&gt;</i>"
    );
    assert_eq!(
        filled("style.css", "a{{b}}{#c\n"),
        "a{{b}}{#c\n",
        "a style sheet is no template"
    );
}

#[test]
fn conditions() {
    for (text, wanted) in [
        ("{% if yes %}1{% endif %}", "1"),
        ("{% if no %}1{% else %}2{% endif %}", "2"),
        (
            "{% if no %}1{% elif empty %}2{% elif b %}3{% else %}4{% endif %}",
            "3",
        ),
        ("{% if not no and yes %}1{% endif %}", "1"),
        ("{% if no and no or yes %}1{% endif %}", "1"),
        ("{% if no or yes and no %}1{% endif %}", ""),
        (
            "{% if yes %}{% if no %}1{% else %}2{% endif %}3{% endif %}",
            "23",
        ),
        ("a {# {{ nothing }} {% for %} #} b", "a  b"),
    ] {
        assert_eq!(filled("ct.md", text), wanted, "{text}");
    }
}

/// A tag alone on its line leaves none; a minus takes all blanks.
#[test]
fn blanks() {
    for (text, wanted) in [
        ("x\n  {% if yes %}\ny\n  {% endif %}\nz\n", "x\ny\nz"),
        ("x\r\n{% if yes %}\r\ny\r\n{% endif %}\r\n", "x\r\ny\r\n"),
        ("x {% if yes %} y{% endif %}", "x  y"),
        ("x \n {{- a -}} \n y", "x\\*x\\* \\<b\\>y"),
        ("  {% if yes %}x{% endif %}", "x"),
        ("{ {x} {", "{ {x} {"),
    ] {
        assert_eq!(filled("ct.md", text), wanted, "{text:?}");
    }
}

#[test]
fn what_is_no_tag_is_told_with_its_line() {
    for (text, line, message) in [
        ("one\ntwo {{ x\n", 2, "`{{` is not closed"),
        ("\n\n{{ nothing }}", 3, "nothing has the name nothing"),
        (
            "{% if no and nothing %}{% endif %}",
            1,
            "nothing has the name nothing",
        ),
        ("\n{% if yes %}\n", 2, "this if has no endif"),
        ("{% endif %}", 1, "`endif` has no if before it"),
        (
            "{% if yes %}{% else %}\n{% else %}{% endif %}",
            2,
            "`else` stands behind else",
        ),
        (
            "{% if yes %}{% else %}{% elif no %}{% endif %}",
            1,
            "`elif` stands behind else",
        ),
        ("{% if %}{% endif %}", 1, "`` is no condition"),
        ("{% if yes no %}{% endif %}", 1, "`yes no` is no condition"),
        ("{{ a|upper }}", 1, "`a|upper` is not the name of a value"),
        ("{{ a ~ a }}", 1, "`a ~ a` is not the name of a value"),
        (
            "{{ 'x' * 1000000000 }}",
            1,
            "`'x' * 1000000000` is not the name of a value",
        ),
        (
            "{% for a in range(100000) %}{% endfor %}",
            1,
            "`{% for a in range(100000) %}` is no tag",
        ),
        ("{% set a = a ~ a %}", 1, "`{% set a = a ~ a %}` is no tag"),
        (
            "{% include \"ct.md\" %}",
            1,
            "`{% include \"ct.md\" %}` is no tag",
        ),
        (
            "{% macro m() %}{% endmacro %}",
            1,
            "`{% macro m() %}` is no tag",
        ),
    ] {
        let told = refused(text);
        assert_eq!(
            (told.file.as_str(), told.line),
            ("ct.md", Some(line)),
            "{text}"
        );
        assert_eq!(told.message, message, "{text}");
    }
}

/// Each bound: at it, and one beyond.
#[test]
fn bounds() {
    let nested = |deep: usize| "{% if yes %}".repeat(deep) + &"{% endif %}".repeat(deep);
    let words = |count: usize| {
        format!(
            "{{% if not {} %}}{{% endif %}}",
            vec!["yes"; count / 2].join(" or ")
        )
    };
    type Case = (&'static str, fn(usize) -> String, usize);
    let cases: [Case; 3] = [
        ("bytes", |count| "x".repeat(count), MOST_BYTES),
        ("tags", |count| "{# #}".repeat(count), MOST_TAGS),
        ("times", |count| "{{ yes }}".repeat(count), MOST_TIMES),
    ];
    for (of, text, most) in cases {
        assert!(Template::read("ct.md", &text(most)).is_ok(), "{of}");
        assert!(Template::read("ct.md", &text(most + 1)).is_err(), "{of}");
    }
    assert!(Template::read("ct.md", &nested(DEEPEST)).is_ok());
    assert!(
        refused(&nested(DEEPEST + 1))
            .message
            .contains("within each other")
    );
    assert!(Template::read("ct.md", &words(MOST_WORDS)).is_ok());
    assert!(
        refused(&words(MOST_WORDS + 2))
            .message
            .contains("words at most")
    );
    // What once overflowed the stack.
    assert!(Template::read("ct.md", &format!("{{% if {}yes %}}", "not ".repeat(30_000))).is_err());
    assert!(Template::read("ct.md", &"{% if yes %}".repeat(100_000)).is_err());
}

fn with(name: &str, text: &str) -> Result<Templates, TemplateFault> {
    Templates::with(BTreeMap::from([(name.to_owned(), text.to_owned())]))
}

#[test]
fn a_strange_name_is_told_with_the_nearest() {
    assert_eq!(with("cts.md", "").unwrap_err().help, "did you mean ct.md?");
}

/// What no reader may miss stands whatever holds.
#[test]
fn what_must_be_said_is_put() {
    let all = "{{ verdict }}{{ diagnostics }}{{ end }}";
    assert!(with("ct.md", all).is_ok());
    for (text, lost) in [
        ("{{ verdict }}{{ diagnostics }}", "{{ end }}"),
        ("{{ verdict }}{{ end }}", "{{ diagnostics }}"),
        (
            "{{ verdict }}{{ diagnostics }}{% if title %}{{ end }}{% endif %}",
            "{{ end }}",
        ),
        ("{{ verdict }}{{ diagnostics }}{# {{ end }} #}", "{{ end }}"),
    ] {
        let told = with("ct.md", text).unwrap_err();
        assert!(told.message.contains(lost), "{told}");
    }
    assert!(with("page.html", "{{ body }}{{ body }}").is_err());
    assert!(with("page.html", "{{ body }}{% if title %}{{ body }}{% endif %}").is_err());
    assert!(with("page.html", "{{ title }}").is_err());
    assert!(with("pack.md", "{{ caution }}{{ broken }}").is_err());
}

proptest::proptest! {
    /// Any text is read or refused, and what is read is filled in no more room than its parts take.
    #[test]
    fn any_text_is_answered(
        pieces in proptest::collection::vec(proptest::sample::select(
            &["{{", "}}", "{%", "%}", "{#", "#}", "-", " ", "\n", "a", "b", "if ", "elif ", "else", "endif",
              "not ", "and ", "or ", "yes", "no", "é", "{", "}"][..]), 0..60)
    ) {
        let text = pieces.concat();
        if let Ok(template) = Template::read("ct.md", &text)
            && let Ok(made) = template.fill(&filling())
        {
            proptest::prop_assert!(made.len() <= text.len() + MOST_TIMES * 60);
        }
    }
}

#[test]
fn a_wrong_name_is_told_where_nothing_is_said_as_well() {
    for text in [
        "{% if no %}{{ acts }}{% endif %}",
        "{% if no %}{% if acts %}x{% endif %}{% endif %}",
        "{% if yes %}x{% else %}{{ acts }}{% endif %}",
        "{% if yes %}x{% elif acts %}y{% endif %}",
        "{% if yes or acts %}x{% endif %}",
    ] {
        let fault = refused(text);
        assert!(fault.message.contains("acts"), "{text}: {fault:?}");
    }
}

#[test]
fn an_open_place_is_told_as_one() {
    for text in [
        "{{ head\n{% if look %}x{% endif %} }}",
        "a {{ head {{ body }}",
    ] {
        let fault = Template::read("t.md", text).expect_err(text);
        assert!(fault.message.contains("not closed"), "{text}: {fault:?}");
    }
}
