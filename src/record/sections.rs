//! The list of all sections.

use super::kinds::TestKind;
use super::schema::Section;
use super::{core, duty, place, plate, visit};

/// All sections, in the order of the grammar page.
pub fn all() -> impl Iterator<Item = &'static Section> {
    let plate: [&'static Section; 5] = [
        &plate::SCHEMA,
        &place::SCHEMA,
        &core::SCHEMA,
        &duty::SCHEMA,
        &visit::SCHEMA,
    ];
    let tests = TestKind::ALL.iter().map(|kind| kind.schema());
    plate.into_iter().chain(tests)
}

/// The section of this name or spelling.
pub fn named(name: &str) -> Option<&'static Section> {
    all().find(|section| section.is_called(name))
}
