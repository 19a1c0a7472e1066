//! Diagnostics as data: what is wrong, where, and how to mend it. Drawing them is `cli`'s and
//! `emit`'s work.

use super::span::Span;
use strum::{IntoStaticStr, VariantArray};

/// How bad a diagnostic is for the record.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The reading or the section cannot be used; the record is not readable.
    Error,
    /// The record stays complete, something in it deserves a look.
    Warning,
}

impl Severity {
    /// The word shown before the message.
    pub fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
        }
    }
}

macro_rules! codes {
    ($($variant:ident $severity:ident $what:literal;)*) => {
        /// The stable names of all diagnostics.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, IntoStaticStr, VariantArray)]
        #[strum(serialize_all = "kebab-case")]
        pub enum Code { $(#[doc = $what] $variant,)* }

        impl Code {
            /// Every code, in order of declaration.
            pub const ALL: &'static [Self] = Self::VARIANTS;

            /// The stable name, as printed: `key-unknown`.
            pub fn name(self) -> &'static str {
                self.into()
            }

            /// What the code means, in one sentence.
            pub fn what(self) -> &'static str {
                match self { $(Self::$variant => $what,)* }
            }

            /// The severity that this code always has.
            pub fn severity(self) -> Severity {
                match self { $(Self::$variant => Severity::$severity,)* }
            }
        }
    };
}

codes! {
    // The file as a text
    NotUtf8 Error "The file's bytes are not UTF-8.";
    TooLong Error "The file, or a list in it, is longer than any record needs to be.";
    ControlCharacter Error "The file contains a control character, such as a lone carriage return.";
    FormatMissing Warning "The record's format is not stated.";
    FormatNewer Error "The record is written in a newer format than this program knows.";
    // Lines and sections
    StrayLine Error "A line is neither field, heading, row nor comment; its section is shown but not judged.";
    ColonMissing Error "A known key has no colon, or no space after the colon.";
    BracketLost Error "A section's opening or closing bracket is missing.";
    SectionUnknown Error "No section has this name; its lines are not read.";
    SectionMissing Error "A section that every record needs is missing.";
    SectionDuplicate Error "A section that may appear once appears twice.";
    SectionMisplaced Error "A section comes after one that it must precede.";
    ArgumentWrong Error "The text after a section's name cannot be read.";
    KeyUnknown Error "The section has no such key.";
    KeyDuplicate Error "A key that may appear once appears twice in a section.";
    KeyMissing Error "A key that the section needs is missing.";
    ValueEmpty Error "A key has no value.";
    // Tables
    HeadingUnits Error "A table's heading has no units.";
    HeadingForm Error "A heading is not written as quantity/unit.";
    HeadingMissing Error "Rows have no heading.";
    ColumnUnknown Error "The section has no such column.";
    ColumnDuplicate Error "A column appears twice in a heading.";
    ColumnMissing Error "A column that the table needs is missing.";
    CellCount Error "A row has more or fewer cells than its heading.";
    CellMissing Error "A cell that the test needs has no reading.";
    RowsWaiting Warning "Rows of a test have no readings yet.";
    TableEmpty Error "A heading has no rows.";
    // Values
    NumberUnreadable Error "A number cannot be read.";
    DecimalComma Error "A number is written with a comma.";
    CellsSwapped Error "Two readings of a row fit the rows beside it only the other way round.";
    DecimalSlip Error "A reading of a curve fits its neighbours only with its decimal point moved.";
    EditorCharacter Error "An editor or a word processor replaced a plain character.";
    UnitMissing Error "A number has no unit.";
    UnitUnknown Error "There is no such unit.";
    UnitCase Error "A unit has the wrong upper/lower case.";
    UnitDimension Error "The unit belongs to another quantity.";
    UnitImplausible Error "The unit's prefix is implausible for this quantity.";
    BoundHere Error "A bound (> or <) is given where a value is needed.";
    DateUnreadable Error "A date is not written year-month-day.";
    DateImpossible Error "The day does not exist.";
    TimeUnreadable Error "A time of day is not written like 16:30.";
    RatioUnreadable Error "A ratio is not written like 600/1 A or 1200:5.";
    RatioZero Error "A ratio with a zero in it.";
    BurdenUnreadable Error "A burden is not written like 15 VA, 15 VA at 0.80, 2.5 ohm or B-0.5.";
    WordUnknown Error "The value is not one of the words that this key allows.";
    PairUnreadable Error "A pair of terminals is not written like 1S1-1S2.";
    GroupUnreadable Error "What was measured between is not written like `1S to primary, cores and earth`.";
    AsideUnreadable Error "A `not done` or `amended` line cannot be read.";
    // The record as a whole
    TerminalUnknown Error "No core has this terminal.";
    TerminalStyle Warning "The terminals are named in the style of the other standard.";
    PairCores Error "The two terminals of a pair belong to different cores, or are the same.";
    TapNotDeclared Error "A test is on a pair whose turns the plate does not give.";
    TapsDisagree Error "The ratios of the plate do not add up.";
    LinksDisagree Error "The primary current of a core is that of no position of the primary links, or its turns are no whole number in one of them.";
    LeadsDisagree Error "The leads of a duty are stated twice, by section and by resistance per length, and the two disagree.";
    CoreUnknown Error "No core has this name.";
    InputUnknown Error "No input of a summation CT has this name.";
    InputsDiffer Error "The plate names more or fewer inputs than its ratio adds up.";
    CoreDuplicate Error "Two cores have one name.";
    TestBeforeVisit Error "A test comes before any visit.";
    TestDuplicate Error "The same test appears twice in a visit.";
    VisitOrder Error "A visit is older than the one above it.";
    VisitDuplicate Error "Two visits have the same date and letter.";
    VisitForeign Warning "The readings of an earlier visit are of no pair of this plate.";
    PlateValueMissing Warning "A value of the plate that a test needs is missing.";
    ClassUnknown Warning "The accuracy class is not in the tables; it is kept as text, without a verdict.";
    StandardUnknown Warning "The standard is not in the tables; no limit of it is known.";
    LikeUnknown Error "The unit that a core says it is like was not found.";
    FeederUnreadable Error "The core that feeds an interposing CT is not written as id and core.";
    FeederElsewhere Warning "The main CT that feeds an interposing CT is in no record of the job, or has moved since.";
    FeederCore Error "The main CT that feeds an interposing CT has no core of this name.";
    FeederPhase Warning "An interposing CT stands in another phase than the main CT that feeds it.";
    FeederCurrent Warning "The rated primary current of an interposing CT is not the rated secondary current of the core that feeds it.";
    FeederCircle Error "CTs feed each other in a circle.";
    FeederChain Error "An interposing CT is fed by way of more CTs than are read.";
    AmendmentSame Error "An amendment gives the present value as the old one.";
    AmendmentColumn Error "An amendment names a column or key that the line above does not have.";
    PrimaryLoop Warning "The primary is closed, by two earths or a short, while a core is excited.";
    OrderAfterDc Warning "A core is excited after a d.c. test, or a run cut off at voltage, without demagnetisation in between.";
    RowAgain Warning "Two rows of one table are of one core and place, or of one link.";
    PrimaryLive Warning "A circuit is opened or its earth lifted where the primary is live by the record, or a current on load is read before energising.";
    StageOrder Warning "What was left stands above what was found, and the order of the file is the order of the work.";
    PurposeMissing Warning "The last visit has no purpose, and what an earlier one was made for is asked no more.";
    TestsMissing Warning "Tests that the visit's purpose asks for are neither there nor named as not done.";
    ReadingImplausible Warning "A reading is so far from what the plate suggests that its unit or prefix is in doubt.";
    ReadingRange Error "A reading is outside its instrument's range.";
    ReadingSign Error "A value that can only be positive is zero or negative.";
    InstrumentUnknown Error "instruments.toml has no such instrument.";
    InstrumentMissing Warning "The instrument that took the readings is not stated.";
    InstrumentFunction Warning "The instrument states no function for a quantity that a test reads with it.";
    InstrumentsMissing Warning "There is no instruments.toml, so neither calibration nor uncertainty is known.";
    CalibrationExpired Warning "The instrument's calibration was not valid on the day.";
    IdDuplicate Error "Two records have one id.";
    PointEarly Warning "A point is closed by a visit before the one that raises it.";
    PointUnknown Warning "A visit closes a point that is not open.";
    PointTwice Warning "Two open points have one number.";
    PointForm Warning "A point has no number of its own, or its owner and day are not parted by `;`.";
    PointDay Warning "What a point is due by is no day.";
    AttachmentMissing Warning "An attached file is not named, is not there, or cannot be read.";
    AttachmentUnsummed Warning "The SHA-256 of an attached file is not written, so that nobody sees when it changes.";
    AttachmentChanged Error "An attached file is another than the one whose SHA-256 is written.";
    AttachmentOutside Error "An attached file lies outside the folder of the record or of its job, or is hidden there.";
    AttachmentTwice Error "One attached file is named twice with different sums.";
    SumUnreadable Error "A SHA-256 is not written as 64 hexadecimal digits.";
    SignOffIncomplete Warning "A signature does not say what was signed, by whom or when.";
    SignOffEarly Warning "A signature is dated before its visit.";
    SignOffStage Warning "A signature covers a stage that no test of its visit has.";
    AfterSignOff Warning "A test stands below the signature that covers it, or was read or amended after its day.";
    PermitRuns Warning "A current on load is read while a permit to work on the dead primary is not shown to have ended.";
    PermitOver Warning "The permit to work of a visit had ended before the visit.";
    TakenOff Warning "A reading was taken before the day of its visit, or long after it.";
    VisitFuture Warning "A visit lies after the day the report is issued.";
    // Other files
    ConfigUnreadable Error "A .toml file cannot be read.";
    FileUnreadable Error "A file cannot be read.";
    FileLeftOut Warning "A file or folder that looks like a part of the job is left out of it.";
    PackEmpty Error "The paths or the pack's patterns match no record.";
}

/// One safe or offered change of the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mend {
    /// What the change does, as an imperative: "write 100.3".
    pub what: String,
    pub edits: Vec<(Span, String)>,
    /// Whether only one reading is possible, so that a tool may apply it unasked.
    pub safe: bool,
}

/// One thing to tell about one source.
#[derive(Clone, Debug)]
pub struct Diagnostic {
    pub code: Code,
    pub span: Span,
    /// The problem, with what was found and what was expected.
    pub title: String,
    /// Stands under the marked characters.
    pub label: String,
    /// Other places of the same source that matter.
    pub others: Vec<(Span, String)>,
    pub help: Option<String>,
    pub mends: Vec<Mend>,
}

impl Code {
    /// A diagnostic of this kind about one place.
    pub fn at(self, span: Span, title: impl Into<String>) -> Diagnostic {
        Diagnostic::new(self, span, title)
    }
}

impl Diagnostic {
    pub fn new(code: Code, span: Span, title: impl Into<String>) -> Self {
        Self {
            code,
            span,
            title: title.into(),
            label: String::new(),
            others: Vec::new(),
            help: None,
            mends: Vec::new(),
        }
    }

    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = label.into();
        self
    }

    #[must_use]
    pub fn other(mut self, span: Span, label: impl Into<String>) -> Self {
        self.others.push((span, label.into()));
        self
    }

    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Adds a change of `span` to `text`.
    #[must_use]
    pub fn mend(
        mut self,
        what: impl Into<String>,
        span: Span,
        text: impl Into<String>,
        safe: bool,
    ) -> Self {
        self.mends.push(Mend {
            what: what.into(),
            edits: vec![(span, text.into())],
            safe,
        });
        self
    }

    /// What to write at `span` instead; `safe` when nothing else can be meant.
    #[must_use]
    pub fn instead(self, span: Span, text: &str, safe: bool) -> Self {
        let what = format!("write {text}");
        self.help(what.clone()).mend(what, span, text, safe)
    }

    /// The known word that `span` is most like.
    #[must_use]
    pub fn did_you_mean(self, span: Span, near: &str, safe: bool) -> Self {
        self.help(format!("did you mean `{near}`?"))
            .mend(format!("write {near}"), span, near, safe)
    }

    pub fn severity(&self) -> Severity {
        self.code.severity()
    }

    pub fn is_error(&self) -> bool {
        self.severity() == Severity::Error
    }
}

/// Sorts by place, then by code: the order in which a reader meets them.
pub fn sort(diagnostics: &mut [Diagnostic]) {
    diagnostics.sort_by_key(|diagnostic| (diagnostic.span, diagnostic.code));
}
