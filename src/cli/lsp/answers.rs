//! Answers to what an editor asks of one record: what `editor` says, in the types of the protocol.

use super::documents::Document;
use super::position::Lines;
use super::publish;
use super::say::{self, calm_lines};
use crate::editor::{
    Fix, Hint, ItemKind, Outlined, complete, diagnosed, fixes, hints, hover, outline,
};
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::job::Compiled;
use crate::layout::lay_out;
use gen_lsp_types::{
    CodeAction, CodeActionKind, CompletionItem, CompletionItemKind, CompletionItemTextEdit,
    CompletionList, Contents, DocumentSymbol, Documentation, Hover, InlayHint, Label, Position,
    Range, SymbolKind, TextEdit, Uri, WorkspaceEdit,
};

pub(super) fn hovered(
    ct: &Compiled,
    lines: &Lines<'_>,
    at: Position,
    markdown: bool,
) -> Option<Hover> {
    let found = hover(ct, lines.at(at))?;
    Some(Hover {
        contents: Contents::MarkupContent(say::hover(&found, markdown)),
        range: Some(lines.range(found.span)),
    })
}

pub(super) fn completed(ct: &Compiled, lines: &Lines<'_>, at: Position) -> CompletionList {
    let all = complete(ct, lines.at(at)).into_iter().enumerate();
    let items = all.map(|(index, item)| CompletionItem {
        kind: Some(match item.kind {
            ItemKind::Section => CompletionItemKind::Class,
            ItemKind::Key => CompletionItemKind::Property,
            ItemKind::Column => CompletionItemKind::Field,
            ItemKind::Unit => CompletionItemKind::Unit,
            ItemKind::Word => CompletionItemKind::EnumMember,
            ItemKind::Winding | ItemKind::Instrument => CompletionItemKind::Reference,
            ItemKind::Aside => CompletionItemKind::Keyword,
        }),
        documentation: (!item.doc.is_empty()).then(|| Documentation::String(calm_lines(&item.doc))),
        // The order of the registers says more than that of the alphabet.
        sort_text: Some(format!("{index:04}")),
        text_edit: Some(CompletionItemTextEdit::TextEdit(TextEdit::new(
            lines.range(item.span),
            item.text,
        ))),
        label: calm_lines(&item.label),
        ..CompletionItem::default()
    });
    CompletionList {
        is_incomplete: false,
        items: items.collect(),
        ..CompletionList::default()
    }
}

pub(super) fn outlined(ct: &Compiled, lines: &Lines<'_>) -> Vec<DocumentSymbol> {
    let all = outline(ct);
    all.iter().map(|one| symbol(one, lines)).collect()
}

fn symbol(one: &Outlined, lines: &Lines<'_>) -> DocumentSymbol {
    let below: Vec<DocumentSymbol> = one.below.iter().map(|one| symbol(one, lines)).collect();
    let kind = match below.is_empty() {
        true => SymbolKind::Class,
        false => SymbolKind::Event,
    };
    DocumentSymbol::new(
        calm_lines(&one.name),
        (!one.doc.is_empty()).then(|| one.doc.to_owned()),
        kind,
        None,
        None,
        lines.range(one.whole),
        lines.range(one.open),
        (!below.is_empty()).then_some(below),
    )
}

pub(super) fn hinted(ct: &Compiled, lines: &Lines<'_>, range: Range) -> Vec<InlayHint> {
    let all = hints(ct, lines.span(range)).into_iter();
    let hint = |hint: Hint| {
        let at = Span {
            start: hint.at,
            end: hint.at,
        };
        InlayHint {
            position: lines.range(at).start,
            label: Label::String(calm_lines(&format!("= {}", hint.text))),
            kind: None,
            text_edits: None,
            tooltip: None,
            padding_left: Some(true),
            padding_right: None,
            data: None,
        }
    };
    all.map(hint).collect()
}

/// The changes that diagnostics of a range know.
pub(super) fn mended(ct: &Compiled, uri: &Uri, lines: &Lines<'_>, range: Range) -> Vec<CodeAction> {
    let all = fixes(&ct.diagnostics, lines.span(range)).into_iter();
    all.map(|fix| action(ct, uri, lines, fix)).collect()
}

fn action(ct: &Compiled, uri: &Uri, lines: &Lines<'_>, fix: Fix<'_>) -> CodeAction {
    let edits = fix.mend.edits.iter();
    let edits = edits.map(|(span, text)| TextEdit::new(lines.range(*span), text.clone()));
    let told = diagnosed(&ct.source, std::slice::from_ref(fix.told));
    let told = told.iter().map(|one| publish::diagnostic(uri, lines, one));
    CodeAction {
        title: calm_lines(&fix.mend.what),
        kind: Some(CodeActionKind::QuickFix),
        diagnostics: Some(told.collect()),
        is_preferred: Some(fix.mend.safe),
        edit: Some(WorkspaceEdit {
            changes: Some([(uri.clone(), edits.collect())].into()),
            ..WorkspaceEdit::default()
        }),
        ..CodeAction::default()
    }
}

fn without_end(line: &str) -> (&str, &str) {
    line.split_at(line.trim_end_matches(['\r', '\n']).len())
}

/// The lines that `fmt` would write otherwise, each by itself, so that what is marked or folded stays.
pub(super) fn laid_out(document: &Document, lines: &Lines<'_>) -> Vec<TextEdit> {
    let (source, _) = Source::new("", document.text.as_bytes());
    let made = lay_out(&source).text;
    if source.refused || made == source.text {
        return Vec::new();
    }
    let (now, then) = (
        source.text.split_inclusive('\n'),
        made.split_inclusive('\n'),
    );
    if now.clone().count() != then.clone().count() {
        let whole = Span::new(0, source.text.len());
        return vec![TextEdit::new(lines.range(whole), made)];
    }
    let mut at = 0;
    let mut edits = Vec::new();
    for (now, then) in now.zip(then) {
        if now != then {
            let [(now_body, now_end), (then_body, then_end)] = [now, then].map(without_end);
            // The ends of lines are the same, but that the last one may have got one.
            let (start, text) = match (now_body == then_body, now_end == then_end) {
                (_, true) => (at, then_body),
                (true, false) => (at + now_body.len(), then_end),
                (false, false) => (at, then),
            };
            let end = match now_end == then_end {
                true => at + now_body.len(),
                false => at + now.len(),
            };
            let range = lines.range(Span::new(start, end));
            edits.push(TextEdit::new(range, text.to_owned()));
        }
        at += now.len();
    }
    edits
}
