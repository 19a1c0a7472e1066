//! When something that the preview is made of may have changed.

use super::named;
use crate::ground::seam::{Disk, Files as _};
use crate::job::places;
use notify::event::EventKind;
use notify::{Config, Event, PollWatcher, RecommendedWatcher, RecursiveMode, Watcher};
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Duration;

/// An editor writes a file in several steps: so long there must be quiet behind the last of them,
const QUIET: Duration = Duration::from_millis(10);
/// but nobody waits longer than so many such times for it.
const LONGEST: usize = 8;
/// How often files are looked at where the system does not tell of changes.
const LOOKS: Duration = Duration::from_millis(500);

/// Tells of changes, as long as it lives.
pub struct Changes {
    told: Receiver<()>,
    watcher: Box<dyn Watcher>,
    paths: Vec<PathBuf>,
}

impl Changes {
    /// Of all that the records under some paths are judged by; with `polled` by looking again and again, where the system
    /// does not tell.
    pub fn of(paths: &[PathBuf], polled: bool) -> Result<Self, String> {
        let gone: Vec<PathBuf> = paths
            .iter()
            .filter(|path| !Disk.exists(path))
            .cloned()
            .collect();
        if !gone.is_empty() {
            return Err(format!("there is no {}", named(&gone)));
        }
        let config = Config::default()
            .with_poll_interval(LOOKS)
            .with_follow_symlinks(false);
        let (tell, told) = channel();
        let by_system = || -> notify::Result<Box<dyn Watcher>> {
            let mut watcher = RecommendedWatcher::new(hear(tell.clone()), config)?;
            watch(&mut watcher, paths)?;
            Ok(Box::new(watcher))
        };
        let by_looking = || -> notify::Result<Box<dyn Watcher>> {
            let mut watcher = PollWatcher::new(hear(tell.clone()), config)?;
            watch(&mut watcher, paths)?;
            Ok(Box::new(watcher))
        };
        let watcher = match polled {
            true => by_looking(),
            false => by_system().or_else(|_| by_looking()),
        };
        match watcher {
            Ok(watcher) => Ok(Self {
                told,
                watcher,
                paths: paths.to_owned(),
            }),
            Err(error) => Err(format!("{} cannot be watched: {error}", named(paths))),
        }
    }

    /// Waits for a change, and for the end of what belongs to it.
    pub fn wait(&mut self) -> Result<(), String> {
        let ended = |_| "changes are no longer told of; start the command again".to_owned();
        self.told.recv().map_err(ended)?;
        for _ in 0..LONGEST {
            if self.told.recv_timeout(QUIET).is_err() {
                break;
            }
            // What has come by now is the same change.
            while self.told.try_recv().is_ok() {}
        }
        // A folder that was put in the place of another one is a new one to the system. One that is gone may come back,
        // and the folder above it tells of that.
        let _ = watch(self.watcher.as_mut(), &self.paths);
        Ok(())
    }
}

fn hear(tell: Sender<()>) -> impl Fn(notify::Result<Event>) + Send + 'static {
    move |event| {
        // Reading a file is an event too, and none that changes anything. An error may have hidden something.
        let says_nothing = event
            .is_ok_and(|event| matches!(event.kind, EventKind::Access(_)) && !event.need_rescan());
        if !says_nothing {
            // Nobody listens any more when the command ends.
            let _ = tell.send(());
        }
    }
}

fn watch(watcher: &mut dyn Watcher, paths: &[PathBuf]) -> notify::Result<()> {
    let places = places(&Disk, paths);
    for folder in &places.whole {
        watcher.watch(folder, RecursiveMode::Recursive)?;
    }
    for folder in places.files.difference(&places.whole) {
        watcher.watch(folder, RecursiveMode::NonRecursive)?;
    }
    Ok(())
}
