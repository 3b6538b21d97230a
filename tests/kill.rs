//! An ingest that is killed at any moment leaves the last commit whole; the next ingest completes it, and no file is left
//! that no commit names.

#![allow(clippy::type_complexity)] // a tuple of what a file is known by
// A test may stop at the first thing that is not as it says.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

mod common;
#[path = "common/stores.rs"]
mod stores;

use common::Shop;
use padlore::store::Store;
use padlore_core::trade::Knowledge;
use std::{
    fs,
    process::Stdio,
    time::{Duration, Instant},
};
use stores::{Known, left_over};

const NOTES: usize = 300;
const KILLS: usize = 20;

/// The text of a note in a round: another one in each.
fn note(number: usize, round: usize) -> String {
    const WORK: [&str; 6] = [
        "Pump breaker trips on cold mornings. Replaced the breaker, no more trips.",
        "Pump hums and will not start. Capacitor low, replaced the capacitor.",
        "Salt cell shows low salt, tested 3200 ppm. Cleaned the cell.",
        "Heater lights and drops out. Pressure switch misset, adjusted it, fires every time.",
        "Filter at 24 psi, clean is 12. Backwashed, back to 13 psi.",
        "Seal leaking under the motor. Quoted a new seal, customer thinks about it.",
    ];
    let (work, day) = (WORK[(number + round) % WORK.len()], number % 28 + 1);
    format!(
        "---\nsite: {} Withy Lane\ndate: 2025-{:02}-{day:02}\n---\n{work} Round {round}.\n",
        number % 40,
        number % 12 + 1
    )
}

/// Changes every third note, takes five away and adds five.
fn edit(shop: &Shop, round: usize) {
    for number in (round % 3..NOTES).step_by(3) {
        shop.write(&format!("{number}.md"), note(number, round));
    }
    for k in 0..5 {
        let _ = fs::remove_file(
            shop.notes()
                .join(format!("{}.md", (round * 7 + k * 11) % NOTES)),
        );
        shop.write(&format!("new/{round}-{k}.md"), note(k, round));
    }
}

#[test]
fn killed_at_any_moment() {
    let shop = Shop::new();
    for number in 0..NOTES {
        shop.write(&format!("{number}.md"), note(number, 0));
    }
    let timed = || {
        let begun = Instant::now();
        assert_eq!(shop.run(&["ingest"]).code, 0);
        begun.elapsed()
    };
    let whole = timed();
    edit(&shop, 0);
    let part = timed();
    let mut killed = 0;
    for round in 1..=KILLS {
        edit(&shop, round);
        let before = Known::of(&shop.store(), Knowledge::built_in());
        // A third of the rounds throws the store away first: then there may be none after the kill.
        let afresh = round % 3 == 0;
        let mut command = shop.command(&["ingest"]);
        if afresh {
            command.arg("--afresh");
        }
        let begun = Instant::now();
        let mut child = command
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // The golden ratio spreads the moments evenly over the whole time, whatever their number.
        let share = (round as f64 * 0.618_033_988_749_895).fract();
        let moment = if afresh { whole } else { part }.mul_f64(share);
        std::thread::sleep(
            moment
                .saturating_sub(begun.elapsed())
                .max(Duration::from_millis(1)),
        );
        let over = child.try_wait().unwrap().is_some();
        child.kill().unwrap();
        child.wait().unwrap();
        killed += usize::from(!over);
        if !afresh {
            let after = Known::of(&shop.store(), Knowledge::built_in());
            let whole_commit = after == before || after.records.len() == shop_visits(&shop);
            assert!(
                over || whole_commit,
                "round {round}: neither the old commit ({} visits of {} files) nor the new one ({}): {} visits of {} files, alike in \
                 visits {}, files {}, answers {}",
                before.records.len(),
                before.files.len(),
                shop_visits(&shop),
                after.records.len(),
                after.files.len(),
                before.records == after.records,
                before.files == after.files,
                before.answers == after.answers,
            );
        } else {
            // Whatever there is can be opened.
            Store::open(&shop.store()).unwrap();
        }
        let run = shop.run(&["ingest"]);
        assert_eq!(run.code, 0, "round {round}: {}", run.err);
        assert!(
            left_over(&shop.store()).is_empty(),
            "round {round}: {:?}",
            left_over(&shop.store())
        );
    }
    assert!(
        killed * 4 >= KILLS,
        "only {killed} of {KILLS} were killed before their end"
    );
    let known = Known::of(&shop.store(), Knowledge::built_in());
    let fresh = shop.beside("fresh");
    let run = common::finish(shop.command(&["ingest"]).args(["--afresh"]));
    assert_eq!(run.code, 0, "{}", run.err);
    // A store that never saw a kill, in a folder of its own.
    let notes = shop.notes();
    let arguments = [
        "ingest",
        "--notes",
        notes.to_str().unwrap(),
        "--store",
        fresh.to_str().unwrap(),
        "--today",
        common::TODAY,
    ];
    let run = common::finish(common::bare(&shop.beside("cache")).args(arguments));
    assert_eq!(run.code, 0, "{}", run.err);
    let fresh = Known::of(&fresh, Knowledge::built_in());
    assert_eq!(known.records.len(), shop_visits(&shop));
    assert!(
        known == fresh,
        "the store that was killed {killed} times differs from a fresh one"
    );
    assert!(
        Known::of(&shop.store(), Knowledge::built_in()) == fresh,
        "rebuilt over the old one it differs from a fresh one"
    );
}

/// Visits that the folder holds: one a note.
fn shop_visits(shop: &Shop) -> usize {
    walkdir::WalkDir::new(shop.notes())
        .into_iter()
        .filter(|e| e.as_ref().unwrap().file_type().is_file())
        .count()
}
