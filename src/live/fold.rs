//! What each frame does.

use std::sync::atomic::Ordering::Relaxed;

use jiff::SignedDuration;

use super::{
    Live, LiveError, Receipt,
    catalogue::SourceState,
    ledger::Owner,
    lock,
    overlay::{Base, Corrected, SessionName},
    read, write,
};
use crate::{
    bag::{NONE, Row, TrialRecord},
    shot::{
        Act, Document, Event, Flags, Measure, Sequence, Settled, SourcePlace, Subject,
        Surroundings, event_flags,
    },
    store::{Entry, Frame, ReceiptWanted},
};

/// A shot dated further ahead of its arrival has a clock that is wrong.
const CLOCK_AHEAD: SignedDuration = SignedDuration::from_mins(10);
/// A shot older than its source's newest by this is late.
const LATE: SignedDuration = SignedDuration::from_hours(24);

impl Live {
    /// Folds one frame in. A fold that fails is broken for good: what follows would rest on a
    /// state that no restart comes to.
    pub(super) fn fold(&self, frame: &Frame, wanted: ReceiptWanted) -> Receipt {
        if self.broken.get().is_some() {
            return Receipt::Done;
        }
        let folded = match &frame.entry {
            Entry::Shot { event, settled, .. } => {
                let shot = self.coming(event, settled.as_deref());
                let _no_question = shot.brings_something_new.then(|| write(&self.acts));
                self.fold_shot(frame, &shot, wanted)
            }
            Entry::Retired(shot) => {
                let _no_question = write(&self.acts);
                self.fold_retired(shot, frame.sequence)
            }
            Entry::Hole(hole) => {
                let _no_question = write(&self.acts);
                self.fold_hole(hole, frame.sequence)
            }
            Entry::Act(act) => {
                let _no_question = write(&self.acts);
                self.fold_act(act, frame, wanted)
            }
        };
        *lock(&self.last) = frame.sequence;
        folded.unwrap_or_else(|error| {
            tracing::error!(%error, sequence = %frame.sequence, "a frame could not be folded");
            // The first cause is the one that counts.
            let _ = self.broken.set(error);
            Receipt::Done
        })
    }

    fn fold_act(
        &self,
        act: &Act,
        frame: &Frame,
        wanted: ReceiptWanted,
    ) -> Result<Receipt, LiveError> {
        let at = frame.sequence;
        match act {
            Act::Correct { shot, patch } => {
                self.amend([*shot], patch, at)?;
                let view = match wanted {
                    ReceiptWanted::Yes => self.shot_now(*shot)?,
                    ReceiptWanted::No => None,
                };
                Ok(Receipt::Corrected(view.map(Box::new)))
            }
            Act::Assign { shots, set, left, .. } => {
                let receipt = self.amend(shots.iter(), set, at)?;
                self.touch(left, at)?;
                Ok(receipt)
            }
            Act::Put(document) => self.put(document, frame),
            Act::Remove(subject) => self.remove(subject, at),
            Act::SetContext { source, context } => {
                let mut catalogue = write(&self.catalogue);
                let number = catalogue.ensure_source(source, at);
                catalogue.edit_source(number, |state| {
                    state.context = context.clone();
                    state.context_as_of = at;
                });
                Ok(Receipt::Done)
            }
            Act::OpenTrial { player, trial } => {
                let record = TrialRecord::opened((**trial).clone(), (at, frame.arrival));
                let mut catalogue = write(&self.catalogue);
                let number = catalogue.ensure_player(player, at);
                catalogue.open_trial(number, record);
                drop(catalogue);
                self.touch_trials(Some(number), at)
            }
            Act::ChangeTrial { player, trial, patch } => {
                let mut catalogue = write(&self.catalogue);
                let number = catalogue.player_number(player);
                if let Some(number) = number {
                    catalogue.edit_trial((number, trial), at, |entry| {
                        entry.document.change(patch, (at, frame.arrival));
                    });
                }
                drop(catalogue);
                self.touch_trials(number, at)
            }
            Act::EraseShot { shot } => self.erase_shot(*shot, at),
            Act::ErasePlayer { player } => self.erase_player(*player, at),
            Act::Retire { shots, .. } => self.retire(shots.iter(), at),
        }
    }

    fn put(&self, document: &Document, frame: &Frame) -> Result<Receipt, LiveError> {
        let at = frame.sequence;
        let mut catalogue = write(&self.catalogue);
        if let Document::Club { player, .. } | Document::Bag { player, .. } = document
            && catalogue.is_gone(player)
        {
            // Refused today; a journal may hold it from before, and it brings nobody back.
            return Ok(Receipt::Done);
        }
        let (created, player) = match document {
            Document::Player { player, document } => {
                (catalogue.put_player(player, document.clone(), at), Some(player))
            }
            Document::Club { player, club, document } => {
                let number = catalogue.ensure_player(player, at);
                (catalogue.put_club(number, (club, document.clone()), at), Some(player))
            }
            Document::Bag { player, bag, document } => {
                let number = catalogue.ensure_player(player, at);
                let at = (at, frame.arrival);
                (catalogue.put_bag(number, (bag, document.clone()), at), Some(player))
            }
            Document::Ball { ball, document } => {
                (catalogue.put_ball(ball, document.clone(), at), None)
            }
            Document::Source { source, document } => {
                (catalogue.put_source(source, document.clone(), at), None)
            }
            Document::CsvMapping { mapping, document } => {
                (catalogue.put_csv_mapping(mapping, document, at), None)
            }
        };
        let number = player.and_then(|player| catalogue.player_number(player));
        drop(catalogue);
        self.touch_player(number, at)?;
        Ok(Receipt::Put { created })
    }

    fn remove(&self, subject: &Subject, at: Sequence) -> Result<Receipt, LiveError> {
        let mut catalogue = write(&self.catalogue);
        let of_player = match subject {
            Subject::Player(player)
            | Subject::Club(player, _)
            | Subject::Bag(player, _)
            | Subject::Trial(player, _) => catalogue.player_number(player),
            Subject::Ball(_) | Subject::Source(_) | Subject::CsvMapping(_) => None,
        };
        match (subject, of_player) {
            (Subject::Player(player), _) => catalogue.remove_player(player, at),
            (Subject::Club(_, club), Some(number)) => catalogue.remove_club(number, club, at),
            (Subject::Bag(_, bag), Some(number)) => catalogue.remove_bag(number, bag, at),
            (Subject::Trial(_, trial), Some(number)) => catalogue.remove_trial(number, trial, at),
            (Subject::Ball(ball), _) => catalogue.remove_ball(ball, at),
            (Subject::Source(source), _) => catalogue.remove_source(source, at),
            (Subject::CsvMapping(mapping), _) => catalogue.remove_csv_mapping(mapping, at),
            (Subject::Club(..) | Subject::Bag(..) | Subject::Trial(..), None) => {}
        }
        drop(catalogue);
        self.touch_player(of_player, at)?;
        Ok(Receipt::Done)
    }

    /// What the catalogue says of a player's clubs has changed: builds and lofts may be others.
    fn touch_player(&self, player: Option<u32>, at: Sequence) -> Result<(), LiveError> {
        match player {
            Some(number) => self.rolls.change(Owner::Player(number), |roll| {
                roll.touch(at);
                roll.reconsider();
            }),
            None => Ok(()),
        }
    }

    /// What is said of a player's trials has changed: what was concluded from the shots stands.
    fn touch_trials(&self, player: Option<u32>, at: Sequence) -> Result<Receipt, LiveError> {
        if let Some(number) = player {
            self.rolls.change(Owner::Player(number), |roll| roll.touch(at))?;
        }
        Ok(Receipt::Done)
    }

    /// What is known of a shot before it is folded. No name brings anybody back who was erased: such a
    /// shot waits.
    fn coming<'a>(&self, event: &'a Event, settled: Option<&'a Settled>) -> Coming<'a> {
        let catalogue = read(&self.catalogue);
        let source = catalogue.source(&event.source);
        let base = match source {
            Some(source) => base_of(event, &source.document),
            None => base_of(event, &SourceState::bare(&event.source)),
        };
        let waits = match settled {
            Some(settled) => settled.waits,
            None => base.player.as_ref().is_some_and(|player| catalogue.is_gone(player)),
        };
        let player = base.player.filter(|_| !waits);
        let has_ball = base.ball.is_none_or(|ball| catalogue.ball_number(&ball).is_some());
        let has_player = player.is_none_or(|player| {
            let player = catalogue.player_number(&player);
            player.is_some_and(|player| {
                base.club.is_none_or(|club| catalogue.club_number(player, &club).is_some())
            })
        });
        let knows_all = source.is_some() && has_ball && has_player;
        let touches = settled.is_some_and(|settled| !settled.left.is_empty());
        Coming { event, settled, waits, brings_something_new: !knows_all || touches }
    }

    fn fold_shot(
        &self,
        frame: &Frame,
        &Coming { event, settled, waits, .. }: &Coming<'_>,
        wanted: ReceiptWanted,
    ) -> Result<Receipt, LiveError> {
        let at = frame.sequence;
        let mut catalogue = write(&self.catalogue);
        let source = catalogue.ensure_source(&event.source, at);
        let Some(inherited) = catalogue.edit_source(source, |state| {
            state.shots += 1;
            let newest = state.newest;
            let ahead = event.time.duration_since(frame.arrival) > CLOCK_AHEAD;
            if !ahead {
                state.newest = Some(newest.map_or(event.time, |newest| newest.max(event.time)));
            }
            let mut base = base_of(event, state);
            if waits {
                base.player = None;
                state.named_erased |= event.player.is_some();
            }
            let derived = settled.and_then(|settled| settled.session.clone());
            if let Some(name) = derived {
                base.session = Some(SessionName { name, derived: true });
            }
            let mut row = bare_row(at, event, state, &base);
            row.source = source;
            if ahead {
                row.flags |= Flags::CLOCK_AHEAD;
            }
            let late = || newest.is_some_and(|newest| newest.duration_since(event.time) > LATE);
            if settled.map_or_else(late, |settled| settled.late) {
                row.flags |= Flags::LATE;
            }
            (row, base)
        }) else {
            return Ok(Receipt::Done);
        };
        let (mut row, base) = inherited;
        let owner = match &base.player {
            Some(player) => Owner::Player(catalogue.ensure_player(player, at)),
            None => Owner::Source(source),
        };
        if let Some(club) = &base.club {
            row.club = catalogue.club_of(owner, club, at);
        }
        if let Some(ball) = &base.ball {
            row.ball = catalogue.ensure_ball(ball, at);
            catalogue.count_ball(row.ball);
        }
        catalogue.note_customer(source, owner);
        drop(catalogue);
        lock(&self.ledger).set(at, owner, self.chunks.as_ref())?;
        let assigned = matches!(owner, Owner::Player(_)) && row.club != NONE;
        if !assigned {
            self.unassigned.fetch_add(1, Relaxed);
        }
        let mut flags = row.flags;
        self.rolls.change(owner, |roll| {
            row.session = match (&base.session, owner) {
                (Some(session), _) if session.derived => {
                    roll.span_session(&session.name, source, event.time)
                }
                (Some(session), _) => roll.named_session(&session.name),
                (None, Owner::Player(_)) => {
                    roll.derived_session((source, event.source.as_str()), event.time)
                }
                (None, Owner::Source(_)) => NONE,
            };
            roll.touch(at);
            roll.push(row);
            if let Some(player) = event.player.as_ref().filter(|_| waits) {
                let known = Corrected { named: Some(player.clone()), ..base.uncorrected() };
                roll.note(at, known);
            }
        })?;
        if let Some(settled) = settled {
            self.touch(&settled.left, at)?;
        }
        if wanted == ReceiptWanted::Yes && assigned {
            flags = self.flags_now(owner, at)?;
        }
        Ok(Receipt::Shot { assigned, flags: flags.words(event) })
    }

    /// A shot's flags as they stand after the shots so far.
    fn flags_now(&self, owner: Owner, at: Sequence) -> Result<Flags, LiveError> {
        let Owner::Player(player) = owner else { return Ok(Flags::NONE) };
        let clubs = read(&self.catalogue).clubs(player);
        let slot = self.rolls.get(owner)?;
        let roll = read(&slot.roll);
        let mut reading = lock(&slot.reading);
        reading.mark(&roll, &clubs);
        Ok(roll.index_of(at).map_or(Flags::NONE, |index| reading.flags(&roll, index, &clubs)))
    }
}

/// A shot that is about to be folded.
struct Coming<'a> {
    event: &'a Event,
    settled: Option<&'a Settled>,
    /// Whether it has no player, whomever it names or inherits.
    waits: bool,
    /// Whether it changes the catalogue and not only its player's roll: then no question is asked
    /// meanwhile, or it would see a club or a ball of which its `as_of` knows nothing.
    brings_something_new: bool,
}

/// The members of a shot that can be corrected, as sent or inherited: the event's own, then the
/// context's, then the source's defaults, as they stand at its arrival.
fn base_of(event: &Event, state: &SourceState) -> Base {
    let (context, source) = (&state.context, &state.document);
    let player = event.player.clone().or_else(|| context.player.clone());
    // The context's club is that of the context's player.
    let of_player = player.is_some() && player == context.player;
    let club = event.club.clone().or_else(|| context.club.clone().filter(|_| of_player));
    Base {
        club,
        player,
        session: event
            .session
            .as_ref()
            .map(|session| SessionName { name: session.as_str().to_owned(), derived: false }),
        lie: event.lie.or(context.lie).or(source.lie),
        intent: event.intent,
        purpose: event.purpose,
        ball: event.ball.clone().or_else(|| context.ball.clone()).or_else(|| source.ball.clone()),
        wet: event.wet,
        place: event.place.or(context.place).or(source.place),
    }
}

/// The row of a shot before it has an owner.
fn bare_row(at: Sequence, event: &Event, state: &SourceState, base: &Base) -> Row {
    let (context, source) = (&state.context, &state.document);
    let has = |measure| event.measures.get(measure).is_some();
    let place = SourcePlace {
        altitude_m: context.altitude_m.or(source.altitude_m),
        target_bearing_deg: context.target_bearing_deg.or(source.target_bearing_deg),
        adjusted_for: source.adjusted_for.unwrap_or_default(),
    };
    let surroundings = Surroundings::of(event, &place);
    Row {
        sequence: at,
        time: event.time,
        date: event.date,
        source: NONE,
        session: NONE,
        club: NONE,
        ball: NONE,
        lie: base.lie,
        wet: base.wet,
        place: base.place,
        intent: base.intent,
        purpose: base.purpose,
        set_aside: false,
        retired: false,
        spin_origin: event.spin_origin.or(source.spin_origin).filter(|_| has(Measure::SpinRate)),
        speed_origin: event
            .speed_origin
            .or(source.speed_origin)
            .filter(|_| has(Measure::ClubheadSpeed)),
        flight_origin: event.flight_origin.or(source.flight_origin),
        flags: event_flags(event, place.altitude_m, place.target_bearing_deg.is_some()),
        surroundings: (surroundings != Surroundings::default()).then(|| Box::new(surroundings)),
        measures: event.measures,
    }
}
