#![no_main]

mod job;

libfuzzer_sys::fuzz_target!(|text: &[u8]| job::Target::Settings.answers(text));
