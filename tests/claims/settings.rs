//! Criteria and instruments that are not understood as a whole let nothing pass: a limit of error without one of its
//! parts is a smaller one, and a rule half read is another rule.

use super::{closing, said};
use crate::through::{Through, Way};
use kneemark::document::Grade;
use kneemark::ground::seam::{Files, Memory};
use kneemark::job::Outcome;
use std::io;
use std::path::Path;

const WHOLE: &str = "tests/claims/whole";

/// A record whose values lie far within their limits, and one in which the uncertainty decides.
const CLEAR: &str = "p.ctr";
const CLOSE: &str = "measuring.ctr";

fn whole(name: &str) -> String {
    std::fs::read_to_string(format!("{WHOLE}/{name}")).expect("there")
}

/// The closing word of a whole record, and how the job came out.
fn word(record: &str, files: &dyn Files) -> (&'static str, Outcome) {
    let job = kneemark::compile(files, &[record.into()]);
    let text = whole(record);
    let id = text.lines().find_map(|line| line.strip_prefix("id: "));
    let word = closing(&said(&job), id.unwrap_or("-"), "transformer");
    (word, job.outcome(Grade::Fails))
}

fn job(instruments: &str, criteria: &str) -> Memory {
    let files = Memory::default();
    for record in [CLEAR, CLOSE] {
        files.put(record, whole(record));
    }
    files.put("instruments.toml", instruments);
    files.put("criteria.toml", criteria);
    files
}

#[test]
fn nothing_passes_beside_a_faulty_line() {
    let instruments = whole("instruments.toml");
    assert_eq!(
        word(CLEAR, &job(&instruments, "")),
        ("pass", Outcome::Clean)
    );
    let function = "[[instrument.function]]\nmeasures = \"voltage\"\nto = \"9 kV\"\n";
    for line in [
        "of_reading = \"0.05\"",
        "of_reading = \"0,05 %\"",
        "of_reading = \"-0.05 %\"",
        "floor = \"5\"",
        "floor = \"-1 V\"",
        "of_range = \"1 V\"",
        "range = \"5 A\"",
        "digits = -5",
        "digits = nan",
        "coverage = 0",
        "coverage = -2",
        "coverage = 0.5",
        "from = \"9 kV\"",
        "from = \"2 A\"",
        "tests = [\"exitation\"]",
    ] {
        let faulty = format!("{instruments}\n{function}{line}\n");
        assert_eq!(
            word(CLEAR, &job(&faulty, "")),
            ("open", Outcome::Broken),
            "{line}"
        );
    }
    for lines in [
        "[decision]\nk = 0\n",
        "[decision]\nk = 0.01\n",
        "[decision]\nk = -2\n",
        "[decision]\nk = 2,5\n",
        "[decision]\nguard = -1\n",
        "[decision]\nguard = \"1\"\n",
        "[decision]\nrule = \"simple aceptance\"\n",
        "[insulation]\nprofile = \"neta\"\n",
        "[insulation]\nprofile = \"client\"\n",
        "[insulation.client]\nprimary = \"500 Mohm\"\n",
        "[insulation]\nprofile = \"none\"\n[insulation.client]\nprimary = \"500 Mohm\"\n",
        "[insulation]\nprofile = \"client\"\n[insulation.client]\nprimary = \"500 Mohms\"\ncore = \"1 Mohm\"\n",
        "[insulation]\nprofile = \"client\"\n[insulation.client]\nprimary = \"500 Mohm\"\nat = \"20\"\n",
        "[ratio]\nturns = \"-1 %\"\n",
        "[due]\nfactory = [\"widthstand\"]\n",
        "[due]\nfactori = [\"withstand\"]\n",
        "[due]\nretest = [\"withstand\"]\n",
        "[due]\nfactory = \"withstand\"\n",
        "[decision",
    ] {
        let told = word(CLEAR, &job(&instruments, lines));
        assert_eq!(told, ("open", Outcome::Broken), "{lines}");
    }
}

/// A client's list takes the place of the program's own, of that purpose alone, and the verdict says so.
#[test]
fn what_is_due_is_the_clients_list_where_there_is_one() {
    let instruments = whole("instruments.toml");
    let said = |criteria: &str| {
        let files = job(&instruments, criteria);
        said(&kneemark::compile(&files, &[CLEAR.into()]))
    };
    let own = said("");
    assert!(
        own.contains(" for factory") && !own.contains("client's list"),
        "{own}"
    );
    assert_eq!(said("[due]\nmaintenance = [\"withstand\"]\n"), own);
    // Of everything that a routine test shows one thing is left, and one that nobody has shown.
    let one = said("[due]\nfactory = [\"withstand\"]\n");
    assert!(
        one.contains("pass: 2 of 2 for factory, by the client's list of what is due"),
        "{one}"
    );
    let more = said("[due]\nfactory = [\"withstand\", \"insulation-resistance\"]\n");
    assert!(
        more.contains(": 2 of 4 for factory, by the client's list"),
        "{more}"
    );
    let none = job(&instruments, "[due]\nfactory = []\n");
    assert_eq!(word(CLEAR, &none), ("nothing asked", Outcome::Clean));
}

/// A function that states how far it reads, and not how well, lets no uncertainty be known.
#[test]
fn a_function_without_a_limit_of_error_is_no_perfect_one() {
    let lines = whole("instruments.toml");
    assert_eq!(word(CLOSE, &job(&lines, "")).0, "pass");
    let is_limit = |line: &&str| {
        let keys = ["of_reading", "of_range", "floor", "digits"];
        keys.iter().any(|key| line.starts_with(key))
    };
    let none: Vec<&str> = lines.lines().filter(|line| !is_limit(line)).collect();
    assert_eq!(word(CLOSE, &job(&none.join("\n"), "")).0, "open");
    let zero = lines.lines().map(|line| match line.split_once('=') {
        Some((key, _)) if key.trim() == "digits" => "digits = 0".to_owned(),
        Some((key, _)) if is_limit(&line) && key.trim() != "floor" => format!("{key}= \"0 %\""),
        _ if is_limit(&line) => String::new(),
        _ => line.to_owned(),
    });
    let zero: Vec<String> = zero.collect();
    assert_eq!(word(CLOSE, &job(&zero.join("\n"), "")).0, "open");
}

/// Files of which one is there and cannot be read.
struct Closed(&'static str);

impl Way for Closed {
    fn read(&self, path: &Path, read: io::Result<Vec<u8>>) -> io::Result<Vec<u8>> {
        match path.ends_with(self.0) {
            true => Err(io::ErrorKind::PermissionDenied.into()),
            false => read,
        }
    }
}

/// The closing word of a record of a job, how the job came out, and what is told of its files.
fn of_job(record: &str, files: &Memory) -> (&'static str, Outcome, String) {
    let job = kneemark::compile(files, &[format!("job/{record}").into()]);
    let told = job.others.iter().flat_map(|one| &one.diagnostics);
    let told: Vec<&str> = told.map(|told| told.title.as_str()).collect();
    let text = whole(record);
    let id = text.lines().find_map(|line| line.strip_prefix("id: "));
    let word = closing(&said(&job), id.unwrap_or("-"), "transformer");
    (word, job.outcome(Grade::Fails), told.join("; "))
}

/// On a machine that takes `Criteria.toml` for the same name it would hold.
#[test]
fn a_file_in_other_letters_is_not_none() {
    let files = || {
        let files = Memory::default();
        files.put(format!("job/{CLEAR}"), whole(CLEAR));
        files.put("job/pack.toml", "records = [\"*.ctr\"]\n");
        files.put("job/instruments.toml", whole("instruments.toml"));
        files
    };
    let well = ("pass", Outcome::Clean, String::new());
    assert_eq!(of_job(CLEAR, &files()), well);
    let other = files();
    other.put("job/Criteria.toml", "");
    let told = "the name of this file is criteria.toml, in small letters";
    assert_eq!(
        of_job(CLEAR, &other),
        ("open", Outcome::Broken, told.to_owned())
    );
    // Beside one in its own letters it is not looked at.
    let both = files();
    both.put("job/INSTRUMENTS.toml", "");
    assert_eq!(of_job(CLEAR, &both), well);
}

/// What `check` and `report` say of a record is what its pack says: the instruments that a visit takes over with its
/// job count in all of them.
#[test]
fn a_record_takes_over_from_its_job_whoever_reads_it() {
    let text = whole(CLOSE);
    let stated = ["instrument: B1", "instrument: K1"];
    let rest = text.lines().filter(|line| !stated.contains(line));
    let lines = rest.map(|line| match line.starts_with("[visit") {
        true => format!("{line}\njob: J-1\n"),
        false => format!("{line}\n"),
    });
    let record: String = lines.collect();
    let came = |pack: &str| {
        let files = Memory::default();
        files.put(format!("job/{CLOSE}"), record.clone());
        files.put("job/instruments.toml", whole("instruments.toml"));
        files.put("job/pack.toml", pack);
        let (word, outcome, _) = of_job(CLOSE, &files);
        (word, outcome)
    };
    let records = "records = [\"*.ctr\"]\n";
    let stated = format!("{records}[jobs.J-1]\ninstrument = \"K1\"\n");
    assert_eq!(came(&stated), ("pass", Outcome::Clean));
    assert_eq!(came(records).0, "open");
    assert_eq!(came(&stated.replace("J-1", "J-2")).0, "open");
    // Of a job within another one the nearest holds, as with all that holds for a record.
    let within = Memory::default();
    within.put(format!("job/{CLOSE}"), record.clone());
    within.put("job/instruments.toml", whole("instruments.toml"));
    within.put("job/pack.toml", records);
    within.put("pack.toml", stated.as_str());
    assert_eq!(of_job(CLOSE, &within).0, "open");
    for faulty in ["instrumet =", "instrument", "instrument = 5\nreference ="] {
        let faulty = stated.replace("instrument =", faulty);
        assert_eq!(came(&faulty), ("open", Outcome::Broken), "{faulty}");
    }
}

#[test]
fn a_file_that_cannot_be_read_is_not_none() {
    for name in ["criteria.toml", "instruments.toml"] {
        let files = Through {
            files: job(&whole("instruments.toml"), ""),
            way: Closed(name),
        };
        assert_eq!(word(CLEAR, &files), ("open", Outcome::Broken), "{name}");
    }
}
