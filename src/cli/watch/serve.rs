//! The preview over HTTP, for this machine alone: short questions, and one stream that tells of changes. Nothing but
//! what the preview itself makes can be asked for; no path of a question reaches a file.

use super::pages;
use super::preview::Preview;
use crate::report::Options;
use std::io::{self, Read as _, Write as _};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

/// Longest head of a question, in bytes, and most lines of it.
const LONGEST: usize = 16 << 10;
const MOST_LINES: usize = 64;
/// How long each part of a question may take to come, and of an answer to be taken; and most parts of a question.
const PATIENCE: Duration = Duration::from_secs(2);
const MOST_PARTS: usize = 8;
/// How long nobody is let in when the system has no room for more.
const REST: Duration = Duration::from_millis(50);
/// How often a stream says that it is still there, so that one without a reader ends.
const SIGN: Duration = Duration::from_secs(15);
/// Most questions at once, streams among them, and most streams: there is always room for a page.
const MOST: usize = 64;
const MOST_STREAMS: usize = 32;

/// The preview that is shown, and when it became another one.
pub struct Board {
    now: Mutex<(u64, Arc<Preview>)>,
    changed: Condvar,
}

impl Board {
    pub fn new(preview: Arc<Preview>) -> Arc<Self> {
        Arc::new(Self {
            now: Mutex::new((1, preview)),
            changed: Condvar::new(),
        })
    }

    /// Shows another one from now on.
    pub fn put(&self, preview: Arc<Preview>) {
        let mut now = self.lock();
        *now = (now.0 + 1, preview);
        self.changed.notify_all();
    }

    fn get(&self) -> (u64, Arc<Preview>) {
        self.lock().clone()
    }

    /// Its number when it is another one than that, or after a while.
    fn after(&self, known: u64) -> u64 {
        let is_known = |now: &mut (u64, Arc<Preview>)| now.0 == known;
        let waited = self.changed.wait_timeout_while(self.lock(), SIGN, is_known);
        waited.unwrap_or_else(PoisonError::into_inner).0.0
    }

    fn lock(&self) -> MutexGuard<'_, (u64, Arc<Preview>)> {
        self.now.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A port of this machine that nobody else reaches.
pub struct Server {
    listener: TcpListener,
    address: SocketAddr,
}

impl Server {
    pub fn on(port: u16) -> Result<Self, String> {
        let open = || {
            let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))?;
            let address = listener.local_addr()?;
            Ok(Self { listener, address })
        };
        open().map_err(|error: io::Error| format!("port {port} cannot be opened: {error}"))
    }

    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Answers from now on, each question by itself.
    pub fn start(self, board: Arc<Board>, options: Options) -> Result<(), String> {
        let door = Arc::new(Door {
            // A page of another place that has its name lead here asks by that name, and is told nothing.
            hosts: hosts(self.address.port()),
            board,
            options,
            busy: Room::of(MOST),
            streams: Room::of(MOST_STREAMS),
        });
        let listen = move || {
            for stream in self.listener.incoming() {
                match stream {
                    Ok(stream) => door.open(stream),
                    Err(_) => thread::sleep(REST),
                }
            }
        };
        let started = thread::Builder::new()
            .name("preview".to_owned())
            .spawn(listen);
        started
            .map(|_| ())
            .map_err(|error| format!("the preview cannot be started: {error}"))
    }
}

struct Door {
    hosts: Vec<String>,
    board: Arc<Board>,
    options: Options,
    busy: Arc<Room>,
    streams: Arc<Room>,
}

/// Room for so many.
struct Room {
    most: usize,
    taken: AtomicUsize,
}

/// A place in it, given back whatever happens.
struct Seat(Arc<Room>);

impl Room {
    fn of(most: usize) -> Arc<Self> {
        let taken = AtomicUsize::new(0);
        Arc::new(Self { most, taken })
    }

    fn take(self: &Arc<Self>) -> Option<Seat> {
        let seat = Seat(Arc::clone(self));
        (self.taken.fetch_add(1, Ordering::Relaxed) < self.most).then_some(seat)
    }
}

impl Drop for Seat {
    fn drop(&mut self) {
        self.0.taken.fetch_sub(1, Ordering::Relaxed);
    }
}

/// The names by which a browser on this machine asks. The usual port of the web it leaves out.
fn hosts(port: u16) -> Vec<String> {
    let names = ["127.0.0.1", "localhost"];
    let bare = names.iter().filter(|_| port == 80);
    let bare = bare.map(|name| (*name).to_owned());
    let full = names.iter().map(|name| format!("{name}:{port}"));
    full.chain(bare).collect()
}

impl Door {
    fn open(self: &Arc<Self>, mut stream: TcpStream) {
        let door = Arc::clone(self);
        let Some(seat) = self.busy.take() else {
            // Whoever asked may have gone.
            let _ = stream.set_write_timeout(Some(REST));
            let _ = full().send(&mut stream, true);
            return;
        };
        let serve = move || {
            // Nobody waits for what this comes to.
            let _ = door.serve(&mut stream);
            drop(seat);
        };
        // Where there is no thread to be had, whoever asked is not answered.
        let _ = thread::Builder::new().spawn(serve);
    }

    fn serve(&self, stream: &mut TcpStream) -> io::Result<()> {
        stream.set_read_timeout(Some(PATIENCE))?;
        stream.set_write_timeout(Some(PATIENCE))?;
        stream.set_nodelay(true)?;
        let asked = match self.asked(stream)? {
            Ok(asked) => asked,
            Err(answer) => return answer.send(stream, true),
        };
        if asked.path == "/changes" && asked.wants_body {
            return match self.streams.take() {
                Some(_seat) => self.tell(stream),
                None => full().send(stream, true),
            };
        }
        self.answer(&asked.path).send(stream, asked.wants_body)
    }

    fn answer(&self, path: &str) -> Answer {
        if path == "/reload.js" {
            return Answer {
                kind: "text/javascript; charset=utf-8",
                ..Answer::plain("200 OK", pages::SCRIPT)
            };
        }
        let (version, preview) = self.board.get();
        let name = match path {
            "/" => Some(pages::OVERVIEW),
            path => path
                .strip_prefix('/')
                .and_then(|path| path.strip_suffix(".html")),
        };
        let page = match name {
            Some(pages::OVERVIEW) => Some(pages::overview(&preview)),
            name => name.and_then(|name| preview.page(name, &self.options)),
        };
        let (status, page) = match page {
            Some(page) => ("200 OK", page),
            None => ("404 Not Found", pages::missing(&preview)),
        };
        match page {
            Ok(page) => Answer {
                kind: "text/html; charset=utf-8",
                ..Answer::plain(status, &following(&page, version))
            },
            Err(message) => Answer::plain("500 Internal Server Error", &message),
        }
    }

    /// The number of what is shown, now and whenever it changes, until nobody listens.
    fn tell(&self, stream: &mut TcpStream) -> io::Result<()> {
        let head = format!("HTTP/1.1 200 OK\r\nContent-Type: text/event-stream\r\n{HEADERS}\r\n");
        stream.write_all(head.as_bytes())?;
        let (mut version, mut told) = (self.board.get().0, 0);
        loop {
            let text = match version == told {
                true => ":\n\n".to_owned(),
                false => format!("data: {}\n\n", named(version)),
            };
            stream.write_all(text.as_bytes())?;
            told = version;
            version = self.board.after(told);
        }
    }

    /// What is asked for, or what is answered to a question that is none.
    fn asked(&self, stream: &mut TcpStream) -> io::Result<Result<Asked, Answer>> {
        let mut read = Vec::new();
        let mut part = [0; LONGEST / MOST_PARTS];
        for _ in 0..MOST_PARTS {
            let length = stream.read(&mut part)?;
            read.extend_from_slice(part.get(..length).unwrap_or_default());
            let mut lines = [httparse::EMPTY_HEADER; MOST_LINES];
            let mut head = httparse::Request::new(&mut lines);
            match head.parse(&read) {
                Ok(httparse::Status::Complete(_)) => return Ok(self.understood(&head)),
                Ok(httparse::Status::Partial) if length > 0 => {}
                Ok(httparse::Status::Partial) | Err(_) => break,
            }
        }
        Ok(Err(Answer::plain("400 Bad Request", "not understood")))
    }

    fn understood(&self, head: &httparse::Request<'_, '_>) -> Result<Asked, Answer> {
        let mut hosts = head
            .headers
            .iter()
            .filter(|line| line.name.eq_ignore_ascii_case("host"));
        let host = hosts.next().map(|line| line.value);
        let is_known = |host: &[u8]| {
            self.hosts
                .iter()
                .any(|own| own.as_bytes().eq_ignore_ascii_case(host))
        };
        if !host.is_some_and(is_known) || hosts.next().is_some() {
            return Err(Answer::plain(
                "421 Misdirected Request",
                "this preview has another name",
            ));
        }
        let wants_body = match head.method {
            Some("GET") => true,
            Some("HEAD") => false,
            _ => {
                return Err(Answer::plain(
                    "405 Method Not Allowed",
                    "a preview is only read",
                ));
            }
        };
        let target = head.path.unwrap_or_default();
        let path = target.split(['?', '#']).next().unwrap_or_default();
        Ok(Asked {
            path: path.to_owned(),
            wants_body,
        })
    }
}

/// What is said where there is no room.
fn full() -> Answer {
    Answer::plain("503 Service Unavailable", "too many at once")
}

struct Asked {
    path: String,
    wants_body: bool,
}

/// An answer as a whole.
struct Answer {
    status: &'static str,
    kind: &'static str,
    body: String,
}

/// What holds for every answer: nothing is kept, nothing is fetched from elsewhere, and no other page looks in.
const HEADERS: &str = "Connection: close\r\nCache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\n\
Referrer-Policy: no-referrer\r\nCross-Origin-Resource-Policy: same-origin\r\nCross-Origin-Opener-Policy: same-origin\r\n\
Content-Security-Policy: default-src 'none'; script-src 'self'; connect-src 'self'; style-src 'unsafe-inline'; \
img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'\r\n";

impl Answer {
    fn plain(status: &'static str, text: &str) -> Self {
        Self {
            status,
            kind: "text/plain; charset=utf-8",
            body: text.to_owned(),
        }
    }

    fn send(&self, stream: &mut TcpStream, with_body: bool) -> io::Result<()> {
        let (status, kind, length) = (self.status, self.kind, self.body.len());
        let head = format!(
            "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {length}\r\n{HEADERS}\r\n"
        );
        let body = if with_body { self.body.as_str() } else { "" };
        stream.write_all([&head, body].concat().as_bytes())?;
        stream.flush()
    }
}

/// A page that is fetched again when what it shows has changed.
fn following(page: &str, version: u64) -> String {
    let version = named(version);
    let script =
        format!("<script src=\"/reload.js\" data-version=\"{version}\"></script>\n</body>");
    match page.rsplit_once("</body>") {
        Some((before, behind)) => [before, &script, behind].concat(),
        None => page.to_owned(),
    }
}

/// The number of a preview, told apart from those that another run showed on the same port.
fn named(version: u64) -> String {
    format!("{}.{version}", std::process::id())
}
