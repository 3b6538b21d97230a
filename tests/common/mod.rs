//! What the tests of the whole program share: a notes folder with its store, the program run over it, and a picture of a
//! folder to compare before and after.

// Each test file compiles this module for itself and uses a part of it.
#![allow(dead_code)]

use serde_json::Value;
use std::{
    collections::BTreeMap,
    fs::{self, File},
    io::Read,
    path::{Path, PathBuf},
    process::{Command, Output, Stdio},
    thread::JoinHandle,
    time::{Duration, Instant, SystemTime},
};
use tempfile::TempDir;

/// What counts as today in every test.
pub const TODAY: &str = "2026-06-01";

/// A note that the program understands: a breaker that trips in the cold, and its mend.
pub const GOOD: &str = "---\nsite: 4 Withy Lane\ndate: 2026-01-14\ntech: Ines\n---\nPump breaker trips on cold mornings, resets fine by noon. Replaced the breaker, ran two hours, no trips.\n";

/// A notes folder and the place of its store, both gone after the test.
pub struct Shop {
    home: TempDir,
}

/// What a run of the program gave.
pub struct Run {
    /// Exit code; -1 where a signal ended it.
    pub code: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Run {
    /// Standard output as the one JSON object that it must be.
    pub fn json(&self) -> Value {
        let value: Value = serde_json::from_str(&self.out)
            .unwrap_or_else(|e| panic!("no JSON ({e}): {}\n{}", self.out, self.err));
        assert!(value.is_object(), "{value}");
        value
    }
}

impl From<Output> for Run {
    fn from(output: Output) -> Self {
        Self {
            code: output.status.code().unwrap_or(-1),
            out: String::from_utf8(output.stdout).expect("standard output is UTF-8"),
            err: String::from_utf8(output.stderr).expect("standard error is UTF-8"),
        }
    }
}

impl Shop {
    /// An empty notes folder.
    pub fn new() -> Self {
        let home = TempDir::new().expect("a folder for the test");
        fs::create_dir(home.path().join("notes")).expect("the notes folder");
        Self { home }
    }

    /// The notes folder.
    pub fn notes(&self) -> PathBuf {
        self.home.path().join("notes")
    }

    /// The store's folder.
    pub fn store(&self) -> PathBuf {
        self.home.path().join("store")
    }

    /// A path beside notes and store.
    pub fn beside(&self, name: &str) -> PathBuf {
        self.home.path().join(name)
    }

    /// Writes a note.
    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.notes().join(name);
        fs::create_dir_all(path.parent().expect("a parent")).expect("the note's folder");
        fs::write(&path, text).expect("the note");
        path
    }

    /// The program with these arguments, this shop's folders and a fixed today.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = bare(&self.home.path().join("cache"));
        command
            .args(arguments)
            .arg("--notes")
            .arg(self.notes())
            .arg("--store")
            .arg(self.store())
            .args(["--today", TODAY]);
        command
    }

    /// Runs the program.
    pub fn run(&self, arguments: &[&str]) -> Run {
        finish(&mut self.command(arguments))
    }
}

/// The program without any folder of its own; what it would cache goes to `cache`.
pub fn bare(cache: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_padlore"));
    command
        .env_remove("PADLORE_NOTES")
        .env_remove("COLUMNS")
        .env("XDG_CACHE_HOME", cache)
        .env("HOME", cache)
        .stdin(Stdio::null());
    command
}

/// Runs a command to its end; one that has not ended after a minute hangs, and the test fails.
pub fn finish(command: &mut Command) -> Run {
    let mut child = command
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let (out, err) = (drain(child.stdout.take()), drain(child.stderr.take()));
    let begun = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().expect("the program's end") {
            break status;
        }
        if begun.elapsed() > Duration::from_secs(60) {
            child.kill().expect("the program can be ended");
            panic!("the program hangs: {command:?}");
        }
        std::thread::sleep(Duration::from_millis(5));
    };
    let bytes = |reader: JoinHandle<Vec<u8>>| reader.join().expect("what the program wrote");
    Run::from(Output {
        status,
        stdout: bytes(out),
        stderr: bytes(err),
    })
}

/// Reads a stream to its end beside the test, so that a full pipe stops nobody.
fn drain(stream: Option<impl Read + Send + 'static>) -> JoinHandle<Vec<u8>> {
    let mut stream = stream.expect("a piped stream");
    std::thread::spawn(move || {
        let mut bytes = Vec::new();
        stream.read_to_end(&mut bytes).expect("the stream's bytes");
        bytes
    })
}

/// What a folder's entry is: its kind, size, time and, for a small file, its content.
#[derive(Debug, PartialEq, Eq)]
pub struct Entry {
    kind: fs::FileType,
    size: u64,
    modified: SystemTime,
    content: Option<Vec<u8>>,
}

/// Every entry below a folder, hidden ones and links themselves too.
pub fn picture(folder: &Path) -> BTreeMap<PathBuf, Entry> {
    const READ_MOST: u64 = 1 << 20;
    let mut out = BTreeMap::new();
    for entry in walkdir::WalkDir::new(folder) {
        let entry = entry.expect("an entry");
        let metadata = fs::symlink_metadata(entry.path()).expect("its metadata");
        let small_file = metadata.is_file() && metadata.len() <= READ_MOST;
        let content = if small_file {
            fs::read(entry.path()).ok()
        } else {
            None
        };
        let modified = metadata.modified().expect("its time");
        out.insert(
            entry.into_path(),
            Entry {
                kind: metadata.file_type(),
                size: metadata.len(),
                modified,
                content,
            },
        );
    }
    out
}

/// Sets a file's modification time to so many milliseconds after a fixed moment: edits in quick succession then differ
/// in their times on every file system.
pub fn set_time(path: &Path, milliseconds: u64) {
    let begin = SystemTime::UNIX_EPOCH + Duration::from_secs(1_760_000_000);
    let file = File::options().write(true).open(path).expect("the file");
    file.set_modified(begin + Duration::from_millis(milliseconds))
        .expect("its time");
}

/// The root package's folder.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The string at a JSON pointer.
pub fn text<'v>(value: &'v Value, pointer: &str) -> &'v str {
    value
        .pointer(pointer)
        .and_then(Value::as_str)
        .unwrap_or_else(|| panic!("no text at {pointer} in {value}"))
}

/// The list at a JSON pointer.
pub fn list<'v>(value: &'v Value, pointer: &str) -> &'v Vec<Value> {
    value
        .pointer(pointer)
        .and_then(Value::as_array)
        .unwrap_or_else(|| panic!("no list at {pointer} in {value}"))
}

/// The number at a JSON pointer.
pub fn count(value: &Value, pointer: &str) -> u64 {
    value
        .pointer(pointer)
        .and_then(Value::as_u64)
        .unwrap_or_else(|| panic!("no number at {pointer} in {value}"))
}
