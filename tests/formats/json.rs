//! JSON against the schema that the repository keeps of it.

use super::{demo, hostile, smallest};
use kneemark::emit::json::{VERSION, document};
use kneemark::job::Job;
use serde_json::Value;

#[test]
fn it_is_what_its_schema_says() {
    let root = env!("CARGO_MANIFEST_DIR");
    let path = format!("{root}/grammar/check.v{VERSION}.schema.json");
    let schema = std::fs::read_to_string(path).expect("the schema");
    let schema: Value = serde_json::from_str(&schema).expect("it is JSON");
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    for job in [demo(), smallest(), &hostile(), &Job::default()] {
        let told: Value = serde_json::from_str(&document(job)).expect("it is JSON");
        let wrong: Vec<String> = validator
            .iter_errors(&told)
            .take(5)
            .map(|error| format!("{}: {error}", error.instance_path()))
            .collect();
        assert_eq!(wrong, [""; 0]);
    }
    // The schema can refuse: a word that is none, a field that is not there, another version.
    let told: Value = serde_json::from_str(&document(demo())).expect("it is JSON");
    let refused = |change: fn(&mut Value)| {
        let mut told = told.clone();
        change(&mut told);
        !validator.is_valid(&told)
    };
    assert!(refused(
        |told| told["records"][0]["findings"][0]["grade"] = "bad".into()
    ));
    assert!(refused(
        |told| told["records"][0]["verdicts"][0]["verdict"] = "bad".into()
    ));
    assert!(refused(|told| {
        let record = told["records"][0].as_object_mut().expect("a record");
        record.remove("sha256");
    }));
    assert!(refused(|told| told["version"] = 2.into()));
}
