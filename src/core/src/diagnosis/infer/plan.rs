//! In which order the sweep takes causes and findings, so that few findings are open at once.
//!
//! A finding is open from the first cause that can make it until the last: only while it is open must the sweep
//! tell apart the states in which it was made from those in which it was not. The table has 2^(open findings)
//! entries, so a good order is worth more than any other trick. The greedy rule closes the finding next that needs
//! the fewest others open.

use super::InferError;
use super::fold::Bit;

/// Most findings that may be open at once: a table of 2 Mi doubles, some seconds where every cause makes every finding.
pub(super) const MOST_OPEN: usize = 21;

/// Most findings that hang together at all (the width of the masks here).
const MOST_BITS: usize = 128;

/// One step of the sweep. Slots number the open findings from 0; entry `e` of the table is the state in which
/// exactly the findings with their bit set in `e` were made.
#[derive(Clone, Debug)]
pub(super) enum Step {
    /// The finding `bit` is opened in the highest slot, made by its leak or not.
    Open { bit: usize },
    /// The cause is there or not, and if there makes findings: slot and strength.
    Pass {
        cause: usize,
        makes: Vec<(u32, f64)>,
    },
    /// The finding `bit` in `slot` is settled; higher slots move down by one.
    Close { bit: usize, slot: u32 },
}

/// The steps with the table's size in slots before each of them. Begins and ends with nothing open.
#[derive(Clone, Debug)]
pub(super) struct Plan {
    pub(super) steps: Vec<(u32, Step)>,
}

/// Works out the steps for the given findings; `causes` is the number of causes in the network.
pub(super) fn plan(bits: &[Bit], causes: usize) -> Result<Plan, InferError> {
    if bits.len() > MOST_BITS {
        return Err(InferError::TooWide {
            open: bits.len(),
            limit: MOST_BITS,
        });
    }
    let mut touches: Vec<Vec<(usize, f64)>> = vec![Vec::new(); causes];
    let mut masks = vec![0_u128; causes];
    for (bit, numbers) in bits.iter().enumerate() {
        for &(cause, strength) in &numbers.edges {
            if let (Some(list), Some(mask)) = (touches.get_mut(cause), masks.get_mut(cause)) {
                list.push((bit, strength));
                *mask |= 1 << bit;
            }
        }
    }
    let mut left: Vec<usize> = (0..causes).filter(|&cause| masks[cause] != 0).collect();
    let mut unsettled: Vec<usize> = (0..bits.len()).collect();
    let mut slots: Vec<usize> = Vec::new();
    let mut open = 0_u128;
    let mut steps = Vec::new();
    while let Some(next) = cheapest(&unsettled, &left, &masks, open) {
        let (mut now, later): (Vec<usize>, Vec<usize>) = left
            .iter()
            .partition(|&&cause| masks[cause] >> next & 1 == 1);
        left = later;
        while let Some(at) = (0..now.len()).min_by_key(|&at| (masks[now[at]] & !open).count_ones())
        {
            let cause = now.remove(at);
            for &(bit, _) in touches[cause]
                .iter()
                .filter(|(bit, _)| open >> bit & 1 == 0)
            {
                steps.push((slots.len() as u32, Step::Open { bit }));
                slots.push(bit);
            }
            open |= masks[cause];
            if slots.len() > MOST_OPEN {
                return Err(InferError::TooWide {
                    open: slots.len(),
                    limit: MOST_OPEN,
                });
            }
            let slot_of = |&(bit, strength): &(usize, f64)| {
                slots
                    .iter()
                    .position(|&held| held == bit)
                    .map(|slot| (slot as u32, strength))
            };
            let makes = touches[cause].iter().filter_map(slot_of).collect();
            steps.push((slots.len() as u32, Step::Pass { cause, makes }));
        }
        // Other findings may have run out of causes along with this one.
        for bit in slots.clone() {
            if left.iter().all(|&cause| masks[cause] >> bit & 1 == 0) {
                let slot = slots
                    .iter()
                    .position(|&held| held == bit)
                    .unwrap_or_default();
                steps.push((
                    slots.len() as u32,
                    Step::Close {
                        bit,
                        slot: slot as u32,
                    },
                ));
                slots.remove(slot);
                open &= !(1 << bit);
                unsettled.retain(|&other| other != bit);
            }
        }
    }
    Ok(Plan { steps })
}

/// The unsettled finding whose remaining causes leave the fewest findings open; the first of equals.
fn cheapest(unsettled: &[usize], left: &[usize], masks: &[u128], open: u128) -> Option<usize> {
    unsettled.iter().copied().min_by_key(|&bit| {
        let own = left.iter().filter(|&&cause| masks[cause] >> bit & 1 == 1);
        let (count, all) = own.fold((0, open), |(count, all), &cause| {
            (count + 1, all | masks[cause])
        });
        (all.count_ones(), count)
    })
}
