//! The long table: one row is one quantity at one line of a record.

mod conditions;
mod findings;
mod readings;

use super::columns::table;
use super::head::Head;
use crate::job::Compiled;
use crate::judge::requirement::Claims;

table! {
    /// One quantity at one line.
    Quantity, "quantities", "a row for each quantity at its line: readings as written, derived values, findings";
    site_now: Text "site where the unit stands now; Parquet is parted by it";
    unit: Text "the unit's own identification";
    asset: Text "the owner's number of the unit";
    mrid: Text "the unit's master resource identifier in a grid model";
    site: Text "site on the day of the visit";
    bay: Text "bay or panel on that day";
    phase: Text "phase on that day";
    core: Text "name of the core";
    pair: Text "pair of terminals";
    ratio: Text "rated ratio of the pair";
    class: Text "class of the pair";
    visit: Text "the visit: its day, and a letter where there are two";
    day: Day "day of the visit";
    purpose: Text "purpose of the visit, where it is one of the words for it";
    test: Text "the section, named as in the record";
    stage: Text "which of several equal tests: as found, as left, retest";
    kind: Text "`reading`: as written; `derived`: worked out, without a limit; `finding`: held against a limit, or observed";
    quantity: Text "stable name: of a reading its column or key, else its rule";
    formula: Text "stable name of the formula that gave it, where one did";
    table_row: Whole "row of the section's table, from 1";
    subject: Text "what it is of beside core and pair: windings, a loop, an item";
    burden: Number "burden on the secondary, VA";
    power_factor: Number "power factor of that burden";
    percent: Number "primary current, per cent of rated";
    frequency: Number "frequency of the source, Hz; the rated one unless written";
    temperature: Number "°C: what the value is corrected to, else the winding's, else the air's";
    knee_rule: Text "which knee: `10/50`, `45 deg`, `30 deg`";
    conditions: Text "all conditions of a finding, in words; with rule, core and pair they tell it from others";
    written: Text "as written; of a finding as reports show it";
    written_ucum: Text "its unit, as UCUM code";
    bound: Text "`exact`; `more than`, `less than` as written; `at least`, `at most`, `not reached` as found; `unreadable`";
    value: Number "the number, in `ucum`; beside `at least` or `at most` the one before U is allowed for, as `written` does";
    ucum: Text "unit of value, uncertainty and limits, as UCUM code: SI, but for angles radian, temperatures degree Celsius, percentages per cent";
    uncertainty: Number "expanded uncertainty U of the value";
    coverage: Number "coverage factor k of U";
    limit_low: Number "lower limit";
    limit_high: Number "upper limit";
    limit_of_size: Flag "whether the limits are of the value's magnitude";
    limit_id: Text "stable name of the limit";
    limit_source: Text "where the limit comes from";
    verdict: Text "the decision rule's word, or that there is none: `not judged`, `not shown`; why, the report says";
    grade: Text "fails, review, open, pass, info";
    stands: Flag "whether no later visit has answered it";
    diagnostic: Text "stable name of what is told of the reading; one that is told as an error is in no value";
    record_sha256: Text "SHA-256 of the record";
    criteria_sha256: Text "SHA-256 of criteria.toml, where there is one";
    limits_sha256: Text "SHA-256 of the tables of limits";
    file: Text "the record's file";
    line: Whole "its line there";
}

/// All rows of a record: visit by visit what was read, then what was found.
pub(super) fn rows(one: &Compiled, claims: &Claims<'_>, head: &Head) -> Vec<Quantity> {
    let mut rows = readings::rows(one, head);
    rows.extend(findings::rows(one, claims, head));
    rows
}
