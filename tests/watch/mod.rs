//! `kneemark watch` by the real program: what it answers, what it refuses, and that no file stops it.
//! That a page follows its record in place is tried in a browser, by `tests/browser/watch.mjs`.

use kneemark::cli::examples;
use std::fs;
use std::io::{BufRead, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;
use tempfile::TempDir;

/// Longer than any change takes to be seen, on a busy machine.
const PATIENCE: Duration = Duration::from_secs(60);

fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_kneemark"))
}

/// A preview of a folder, ended with the test.
struct Watch {
    child: Child,
    address: String,
    /// Holds the pipe open, so that what is said later is no error.
    _said: BufReader<std::process::ChildStdout>,
    changes: BufReader<TcpStream>,
    version: String,
}

impl Drop for Watch {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Watch {
    fn begun(folder: &Path, arguments: &[&str]) -> Self {
        let mut child = program()
            .arg("watch")
            .args(arguments)
            .current_dir(folder)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("a program");
        let mut said = BufReader::new(child.stdout.take().expect("a pipe"));
        let address = loop {
            let mut line = String::new();
            assert!(said.read_line(&mut line).expect("a line") > 0, "it ended");
            if let Some((_, behind)) = line.split_once("http://") {
                let (address, _) = behind.split_once('/').expect("an address");
                break address.to_owned();
            }
        };
        let mut stream = TcpStream::connect(&address).expect("a preview");
        stream.set_read_timeout(Some(PATIENCE)).expect("a stream");
        let asked = format!("GET /changes HTTP/1.1\r\nHost: {address}\r\n\r\n");
        stream.write_all(asked.as_bytes()).expect("a question");
        let mut watch = Self {
            child,
            address,
            _said: said,
            changes: BufReader::new(stream),
            version: String::new(),
        };
        watch.changed();
        watch
    }

    /// Waits until something else is shown.
    fn changed(&mut self) {
        loop {
            let mut line = String::new();
            let length = self.changes.read_line(&mut line).expect("a change");
            assert!(length > 0, "the stream ended");
            if let Some(version) = line.strip_prefix("data: ")
                && version != self.version
            {
                version.clone_into(&mut self.version);
                return;
            }
        }
    }

    /// Waits until a page says something.
    fn says(&mut self, path: &str, what: &str) -> String {
        loop {
            let page = self.get(path);
            if page.contains(what) {
                return page;
            }
            self.changed();
        }
    }

    fn get(&self, path: &str) -> String {
        self.ask(&format!(
            "GET {path} HTTP/1.1\r\nHost: {}\r\n\r\n",
            self.address
        ))
    }

    fn ask(&self, question: &str) -> String {
        self.ask_bytes(question.as_bytes())
    }

    fn ask_bytes(&self, question: &[u8]) -> String {
        let mut stream = TcpStream::connect(&self.address).expect("a preview");
        stream.set_read_timeout(Some(PATIENCE)).expect("a stream");
        // It may answer before all of it has come.
        let _ = stream.write_all(question);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        String::from_utf8_lossy(&answer).into_owned()
    }
}

fn record(id: &str) -> String {
    format!("format: 1\n[ct]\nid: {id}\nsite: Skerrow\nbay: H01\n[core S]\nratio: 600/1\n")
}

fn job() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for name in ["a", "b"] {
        let text = record(&name.to_uppercase());
        fs::write(folder.path().join(format!("{name}.ctr")), text).expect("a file");
    }
    folder
}

#[test]
fn pages_and_nothing_else_are_answered() {
    let job = job();
    let secret = "this is no output";
    fs::write(job.path().join("secret.txt"), secret).expect("a file");
    let watch = Watch::begun(job.path(), &["."]);
    for (path, says) in [
        ("/", "a.ctr"),
        ("/index.html", "a.ctr"),
        ("/a.html?x", "<article"),
    ] {
        let page = watch.get(path);
        assert!(page.starts_with("HTTP/1.1 200 "), "{path}: {page}");
        assert!(page.contains(says), "{path}: {page}");
        for header in [
            "Content-Security-Policy: default-src 'none'; script-src 'self';",
            "frame-ancestors 'none'",
            "X-Content-Type-Options: nosniff",
            "Cache-Control: no-store",
        ] {
            assert!(page.contains(header), "{path}: {page}");
        }
    }
    assert!(watch.get("/reload.js").contains("text/javascript"));
    for path in [
        "/a.ctr",
        "/secret.txt",
        "/../secret.txt",
        "/..%2fsecret.txt",
        "/%2e%2e/secret.txt",
        "//secret.txt",
        "/./a.html",
        "/A.html",
        "/a.html/",
        "/.html",
        "/etc/passwd",
        "http://127.0.0.1/a.html",
        "*",
        "/\u{e4}.html",
    ] {
        let page = watch.get(path);
        let is_told = page.starts_with("HTTP/1.1 404 ") || page.starts_with("HTTP/1.1 400 ");
        assert!(is_told, "{path}: {page}");
        assert!(
            !page.contains(secret) && !page.contains("root:"),
            "{path}: {page}"
        );
    }
}

#[test]
fn who_asks_by_another_name_is_told_nothing() {
    let job = job();
    let watch = Watch::begun(job.path(), &["."]);
    let own = &watch.address;
    let port = own.split_once(':').map_or("", |(_, port)| port);
    let asked = |hosts: &str| watch.ask(&format!("GET / HTTP/1.1\r\n{hosts}\r\n"));
    for hosts in [
        format!("Host: {own}\r\n"),
        format!("HOST: localhost:{port}\r\n"),
    ] {
        assert!(asked(&hosts).starts_with("HTTP/1.1 200 "), "{hosts}");
    }
    for hosts in [
        String::new(),
        "Host: \r\n".to_owned(),
        "Host: 127.0.0.1\r\n".to_owned(),
        format!("Host: example.org:{port}\r\n"),
        format!("Host: {own}.example.org\r\n"),
        format!("Host: x{own}\r\n"),
        format!("Host: {own}\r\nHost: example.org\r\n"),
    ] {
        let answer = asked(&hosts);
        assert!(answer.starts_with("HTTP/1.1 421 "), "{hosts}: {answer}");
        assert!(!answer.contains("a.ctr"), "{hosts}: {answer}");
    }
}

#[test]
fn what_is_no_question_is_refused() {
    let job = job();
    let watch = Watch::begun(job.path(), &["."]);
    let host = format!("Host: {}\r\n", watch.address);
    for method in ["POST", "PUT", "DELETE", "OPTIONS", "TRACE"] {
        let answer = watch.ask(&format!("{method} / HTTP/1.1\r\n{host}\r\n"));
        assert!(answer.starts_with("HTTP/1.1 405 "), "{method}: {answer}");
    }
    let head = watch.ask(&format!("HEAD / HTTP/1.1\r\n{host}\r\n"));
    assert!(
        head.starts_with("HTTP/1.1 200 ") && head.ends_with("\r\n\r\n"),
        "{head}"
    );
    let long = format!("GET / HTTP/1.1\r\n{host}X: {}\r\n\r\n", "x".repeat(1 << 17));
    let many = format!("GET / HTTP/1.1\r\n{host}{}\r\n", "X: x\r\n".repeat(1000));
    for question in [
        b"\0\xff\r\n\r\n".as_slice(),
        b"x",
        long.as_bytes(),
        many.as_bytes(),
    ] {
        let mut stream = TcpStream::connect(&watch.address).expect("a preview");
        stream.set_read_timeout(Some(PATIENCE)).expect("a stream");
        let _ = stream.write_all(question);
        let _ = stream.shutdown(std::net::Shutdown::Write);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        // Of a question that goes on the answer may be lost with the connection.
        let answer = String::from_utf8_lossy(&answer);
        assert!(
            !answer.contains("a.ctr") && !answer.contains(" 200 "),
            "{answer}"
        );
    }
    // Streams leave room for pages, and who never asks is shown out.
    let streams: Vec<TcpStream> = (0..80)
        .map(|_| {
            let mut stream = TcpStream::connect(&watch.address).expect("a preview");
            let asked = format!("GET /changes HTTP/1.1\r\n{host}\r\n");
            stream.write_all(asked.as_bytes()).expect("a question");
            stream
        })
        .collect();
    let answers = || {
        (0..100).any(|_| {
            std::thread::sleep(Duration::from_millis(100));
            watch.get("/").contains("a.ctr")
        })
    };
    assert!(answers());
    let idle: Vec<TcpStream> = (0..100)
        .map(|_| TcpStream::connect(&watch.address).expect("a preview"))
        .collect();
    assert!(answers());
    drop((idle, streams));
}

#[test]
fn a_folder_that_comes_back_is_followed() {
    let place = tempfile::tempdir().expect("a folder");
    let job = place.path().join("job");
    let make = |id: &str| {
        fs::create_dir(&job).expect("a folder");
        fs::write(job.join("a.ctr"), record(id)).expect("a file");
    };
    make("ONE");
    for arguments in [&["job"][..], &["job", "--poll"]] {
        let mut watch = Watch::begun(place.path(), arguments);
        watch.says("/", "ONE");
        fs::remove_dir_all(&job).expect("a folder");
        watch.says("/", "There is no record.");
        make("TWO");
        watch.says("/", "TWO");
        fs::write(job.join("a.ctr"), record("THREE")).expect("a file");
        watch.says("/", "THREE");
        fs::write(job.join("a.ctr"), record("ONE")).expect("a file");
    }
}

#[test]
fn no_file_stops_it() {
    let job = job();
    let at = |name: &str| job.path().join(name);
    let mut watch = Watch::begun(job.path(), &["."]);
    // Half a file.
    fs::write(at("a.ctr"), "format: 1\n[ct]\nid: A\n[core S\nrat").expect("a file");
    let page = watch.says("/a.html", "bracket-lost");
    assert!(page.contains("a.ctr:4:"), "{page}");
    // No text.
    fs::write(at("a.ctr"), b"\xff\xfe\0\x01").expect("a file");
    watch.says("/a.html", "not-utf8");
    // Longer than anything that is read.
    let long = fs::File::create(at("a.ctr")).expect("a file");
    long.set_len((64 << 20) + 1).expect("a file");
    let page = watch.says("/a.html", "files over 67108864 bytes are not read");
    assert!(page.starts_with("HTTP/1.1 404 "), "{page}");
    fs::remove_file(at("a.ctr")).expect("a file");
    // A folder in its place, and a link that leads to itself.
    fs::create_dir(at("a.ctr")).expect("a folder");
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("..", at("a.ctr").join("round")).expect("a link");
        watch.says("/", "links are not followed");
    }
    fs::write(at("a.ctr/c.ctr"), record("C")).expect("a file");
    watch.says("/", "a.ctr/c.ctr");
    fs::remove_dir_all(at("a.ctr")).expect("a folder");
    // As an editor saves: beside it, and into its place.
    fs::write(at("a.ctr~"), record("A9")).expect("a file");
    fs::rename(at("a.ctr~"), at("a.ctr")).expect("a file");
    watch.says("/a.html", "A9");
    // What holds for all of them.
    fs::write(at("criteria.toml"), "nothing = [").expect("a file");
    let page = watch.says("/b.html", "class=\"told\"");
    assert!(page.contains("criteria.toml:1:"), "{page}");
    fs::remove_file(at("criteria.toml")).expect("a file");
    for name in ["a.ctr", "b.ctr"] {
        fs::remove_file(at(name)).expect("a file");
    }
    watch.says("/", "There is no record.");
    fs::write(at("b.ctr"), record("B7")).expect("a file");
    watch.says("/b.html", "B7");
}

#[test]
fn one_record_is_followed_with_what_it_is_judged_by() {
    let job = job();
    let folder = job.path().join("h01");
    fs::create_dir(&folder).expect("a folder");
    fs::write(folder.join("c.ctr"), record("C")).expect("a file");
    fs::write(job.path().join("pack.toml"), "records = [\"**/*.ctr\"]\n").expect("a file");
    let mut watch = Watch::begun(&folder, &["c.ctr"]);
    assert!(!watch.get("/").contains("a.ctr"), "nobody asked for it");
    // A sister elsewhere in the job, and a file above the record.
    fs::write(job.path().join("b.ctr"), record("C")).expect("a file");
    watch.says("/c.html", "id-duplicate");
    fs::write(job.path().join("instruments.toml"), "[").expect("a file");
    watch.says("/c.html", "instruments.toml:1:");
}

#[test]
fn what_cannot_be_watched_is_told() {
    let job = job();
    let watch = Watch::begun(job.path(), &["."]);
    let port = watch.address.split_once(':').map_or("", |(_, port)| port);
    for (arguments, says) in [
        (&["nowhere"][..], "there is no nowhere"),
        (&["a.ctr", "--port", port], "cannot be opened"),
    ] {
        let mut command = program();
        let done = command.arg("watch").args(arguments).current_dir(job.path());
        let done = done.output().expect("a program");
        let said = String::from_utf8_lossy(&done.stderr);
        assert_eq!(done.status.code(), Some(2), "{said}");
        assert!(said.contains(says), "{said}");
    }
}

#[test]
fn its_examples_run() {
    let job = job();
    fs::create_dir(job.path().join("records")).expect("a folder");
    for name in ["first.ctr", "records/first.ctr"] {
        fs::write(job.path().join(name), record("F")).expect("a file");
    }
    let (_, lines) = examples::WATCH.split_once("Examples:\n").expect("examples");
    for line in lines.lines() {
        let words: Vec<&str> = line.split_whitespace().skip(2).collect();
        // Whether the port is free here is not known.
        let words = match words.iter().position(|word| *word == "--port") {
            Some(at) => &words[..at],
            None => &words,
        };
        assert!(
            Watch::begun(job.path(), words)
                .get("/")
                .contains("first.ctr"),
            "{line}"
        );
    }
}
