//! Pages know exactly what was claimed, and stay within their memory.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::*;
use crate::store::table::{MemoryTables, Tables};

fn identity(source: u8, id: &str) -> (SourceId, ShotId) {
    let text = serde_json::json!({"source": format!("bay-{source}"), "id": id,
        "time": "2026-04-11T10:15:04Z", "flight": {"carry_m": 100.0}});
    let event = crate::shot::parse(text.to_string().as_bytes()).unwrap();
    (event.source, event.id)
}

#[derive(Clone, Debug)]
enum Step {
    Claim(u8, u32),
    Release,
    Hand,
    Reload,
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let step = prop_oneof![
        60 => (0..3_u8, 0..2_000_u32).prop_map(|(source, id)| Step::Claim(source, id)),
        2 => Just(Step::Release),
        2 => Just(Step::Hand),
        1 => Just(Step::Reload),
    ];
    prop::collection::vec(step, 0..600)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn pages_know_exactly_the_identities_that_were_claimed(steps in steps()) {
        let tables = MemoryTables::default();
        let table = tables.open().unwrap();
        let mut identities = Identities::load(Arc::clone(&table), Sequence::new(0)).unwrap();
        let mut model: BTreeMap<(SourceId, ShotId), Sequence> = BTreeMap::new();
        let mut next = 1;
        let mut newest = None;
        for step in steps {
            match step {
                Step::Claim(source, id) => {
                    let key = identity(source, &format!("{id}-of-the-day"));
                    let sequence = Sequence::new(next);
                    let held = identities.claim((&key.0, &key.1), sequence).unwrap();
                    prop_assert_eq!(held, model.get(&key).copied().map(Known::Stored));
                    if held.is_none() {
                        model.insert(key.clone(), sequence);
                        newest = Some(key);
                        next += 1;
                    }
                }
                Step::Release => if let Some(key) = newest.take() {
                    identities.release(&key.0, &key.1).unwrap();
                    model.remove(&key);
                    next -= 1;
                },
                Step::Hand | Step::Reload => {
                    table.commit(&identities.take_changes()).unwrap();
                    newest = None;
                    identities.applied(Sequence::new(next - 1));
                    if matches!(step, Step::Reload) {
                        identities =
                            Identities::load(Arc::clone(&table), Sequence::new(next - 1)).unwrap();
                    }
                }
            }
        }
        for (key, sequence) in &model {
            prop_assert_eq!(identities.find(&key.0, &key.1).unwrap(), Some(*sequence));
        }
        let (source, id) = identity(0, "never-sent");
        prop_assert_eq!(identities.find(&source, &id).unwrap(), None);
    }
}

#[test]
fn memory_stays_bounded_under_ids_that_never_cluster() {
    let tables = MemoryTables::default();
    let table = tables.open().unwrap();
    let mut identities = Identities::load(Arc::clone(&table), Sequence::new(0)).unwrap();
    (identities.kept_pages, identities.sweep_at) = (64, 64);
    let scattered = |number: u64| format!("{:016x}", number.wrapping_mul(0x9E37_79B9_7F4A_7C15));
    let (total, step) = (20_000, 20);
    let mut most = 0;
    for number in 1..=total {
        let (source, id) = identity(1, &scattered(number));
        let held = identities.claim((&source, &id), Sequence::new(number)).unwrap();
        assert_eq!(held, None);
        if number % step == 0 {
            table.commit(&identities.take_changes()).unwrap();
            identities.applied(Sequence::new(number));
        }
        most = most.max(identities.pages);
    }
    let all = table.prefix(Tree::Identity, &[]).unwrap().len();
    assert!(all > 300 && most < 150, "{most} of {all} pages were in memory");
    for number in (1..=total).step_by(97) {
        let (source, id) = identity(1, &scattered(number));
        assert_eq!(identities.find(&source, &id).unwrap(), Some(Sequence::new(number)));
    }
}
