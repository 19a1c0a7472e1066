//! A place in a record: its line, and the section that the line stands in.

use crate::ground::span::Span;
use crate::job::Compiled;
use crate::record::body::{Body, Table};
use crate::record::schema::{Column, Section as Schema};
use crate::record::{sections, table};
use crate::syntax::{Class, Line, Section};

pub(super) struct Spot<'a> {
    pub ct: &'a Compiled,
    /// `None` behind the last line end, where nothing is written yet.
    line: Option<&'a Line>,
    /// Index of the line among all.
    index: usize,
    pub at: u32,
    section: Option<usize>,
}

impl<'a> Spot<'a> {
    /// `None` in a text that is not read at all.
    pub fn at(ct: &'a Compiled, at: u32) -> Option<Self> {
        if ct.source.refused {
            return None;
        }
        let tree = &ct.record.written.tree;
        let length = u32::try_from(ct.source.text.len()).ok()?;
        let at = at.min(length);
        let behind = tree.lines.partition_point(|line| line.whole.start <= at);
        let is_new = at == length && (length == 0 || ct.source.text.ends_with('\n'));
        let index = if is_new {
            tree.lines.len()
        } else {
            behind.checked_sub(1)?
        };
        let mut sections = tree.sections.iter();
        Some(Self {
            ct,
            line: tree.lines.get(index),
            index,
            at,
            section: sections.rposition(|one| one.first <= index + 1),
        })
    }

    pub fn opened(&self) -> Option<&'a Section> {
        self.ct.record.written.tree.sections.get(self.section?)
    }

    /// The section that its line opens.
    pub fn opens(&self) -> Option<&'a Section> {
        self.opened().filter(|one| one.first == self.index + 1)
    }

    pub fn schema(&self) -> Option<&'static Schema> {
        sections::named(self.ct.source.slice(self.opened()?.name))
    }

    pub fn body(&self) -> Option<&'a Body> {
        self.ct.record.written.bodies.get(self.section?)?.as_ref()
    }

    pub fn class(&self) -> Class {
        self.line
            .map_or(Class::Blank, |line| line.class(&self.ct.source))
    }

    /// What stands in the line before the place, without indentation; `None` within a comment.
    pub fn before(&self) -> Option<(&'a str, u32)> {
        let Some(line) = self.line else {
            return Some(("", self.at));
        };
        let in_remark = line.remark.is_some_and(|remark| remark.start < self.at);
        let in_comment = line.class(&self.ct.source) == Class::Comment;
        let from = line.body.start.min(self.at);
        let text = self.ct.source.slice(Span {
            start: from,
            end: self.at,
        });
        (!in_remark && !in_comment).then_some((text, from))
    }

    /// What stands in the line behind the place.
    pub fn behind(&self) -> &'a str {
        let end = self.line.map_or(self.at, |line| line.body.end.max(self.at));
        self.ct.source.slice(Span {
            start: self.at,
            end,
        })
    }

    /// The table that a row in this line belongs to, or would belong to.
    pub fn table(&self) -> Option<&'a Table> {
        let start = self.line.map_or(self.at, |line| line.whole.start);
        let mut above = self.body()?.tables.iter();
        let table = above.rfind(|table| table.heading.end <= start)?;
        // A key, or text that is nothing else, ends it.
        let heading = self.ct.source.line(table.heading.start);
        let lines = &self.ct.record.written.tree.lines;
        let between = lines.get(heading..self.index).unwrap_or_default();
        let ends = |line: &Line| matches!(line.class(&self.ct.source), Class::Field { .. });
        (!between.iter().any(ends)).then_some(table)
    }

    /// The column whose cell the place stands in, where the row has the cells of its heading.
    pub fn column(&self) -> Option<&'static Column> {
        let (table, line) = (self.table()?, self.line?);
        let source = &self.ct.source;
        let heading = source.slice(table.heading);
        let head = table::heading(heading, table.heading, self.schema()?, &mut Vec::new());
        let cells = table::pieces(source.slice(line.body), line.body.range().start, &head)?;
        let index = cells.iter().position(|cell| {
            let span = cell.span();
            span.start <= self.at && self.at <= span.end
        })?;
        head.columns.get(index)?.column
    }

    /// The word of the line that the place stands in or behind, parted by blanks and bars.
    pub fn word(&self) -> Option<Span> {
        let line = self.line?;
        let text = self.ct.source.slice(line.body);
        let at = (self.at.checked_sub(line.body.start)? as usize).min(text.len());
        let parts = |c: char| matches!(c, ' ' | '\t' | '|');
        let from = text.get(..at)?.rfind(parts).map_or(0, |end| end + 1);
        let to = text
            .get(at..)?
            .find(parts)
            .map_or(text.len(), |end| at + end);
        let start = line.body.start as usize;
        (from < to).then(|| Span::new(start + from, start + to))
    }
}
