//! Rows as bytes: a chunk of them is what the store keeps of a player's shots.
//!
//! A row is its fixed members, then the measured values that it has: decimals of up to six places
//! as variable-length integers, anything else as a double, so that most values take four bytes and
//! every one comes back exactly.

use jiff::{Timestamp, civil::Date};

use super::LiveError;
use crate::{
    bag::{NONE, Row},
    shot::{
        Adjustments, Air, Flags, FlightOrigin, Height, Intent, Lie, Measure, Measures, Place,
        Purpose, Sequence, Shape, SpeedOrigin, SpinOrigin, Surroundings, Swing, Wind,
    },
};

/// The form written today.
const VERSION: u8 = 2;
/// Six decimals: what yards and miles an hour have as metres, and more than any device resolves.
const SCALE: f64 = 1e6;
/// Integers up to this are exact in a double.
const EXACT: f64 = 9_007_199_254_740_992.0;

/// Packs rows.
pub(super) fn pack(rows: &[Row]) -> Vec<u8> {
    let mut out = Vec::with_capacity(1 + rows.len() * 110);
    out.push(VERSION);
    for row in rows {
        pack_row(row, &mut out);
    }
    out
}

/// Unpacks what [`pack`] made.
pub(super) fn unpack(bytes: &[u8]) -> Result<Vec<Row>, LiveError> {
    let mut reader = Reader { rest: bytes };
    let version = reader.byte()?;
    if version != VERSION {
        return Err(LiveError::Unreadable("rows of an unknown version"));
    }
    let mut rows = Vec::new();
    while !reader.rest.is_empty() {
        rows.push(reader.row()?);
    }
    Ok(rows)
}

fn pack_row(row: &Row, out: &mut Vec<u8>) {
    varint(row.sequence.get(), out);
    let nanos = row.time.as_nanosecond();
    out.extend_from_slice(&nanos.to_le_bytes()[..12]);
    let day = i64::from(row.date.year()) * 512
        + i64::from(row.date.month()) * 32
        + i64::from(row.date.day());
    varint(zigzag(day), out);
    for number in [row.source, row.session, row.club, row.ball] {
        // NONE wraps to 0, so that "none" is one byte.
        varint(u64::from(number.wrapping_add(1)), out);
    }
    out.extend_from_slice(&[
        code(row.lie, Lie::ALL),
        code(row.place, Place::ALL),
        code(Some(row.intent.height), Height::ALL),
        code(Some(row.intent.shape), Shape::ALL),
        code(Some(row.intent.swing), Swing::ALL),
        code(Some(row.purpose), Purpose::ALL),
        code(row.spin_origin, SpinOrigin::ALL),
        code(row.speed_origin, SpeedOrigin::ALL),
        code(row.flight_origin, FlightOrigin::ALL),
        u8::from(row.wet) | (u8::from(row.set_aside) << 1) | (u8::from(row.retired) << 2),
    ]);
    varint(row.flags.bits(), out);
    pack_surroundings(row.surroundings.as_deref(), out);
    let present = row.measures.iter().fold(0_u64, |bits, (measure, _)| bits | bit(measure));
    varint(present, out);
    for (_, value) in row.measures.iter() {
        pack_value(value, out);
    }
}

/// Which numbers are there and what was corrected for, in one integer; then the numbers. Where
/// nothing is known that is one byte.
fn pack_surroundings(around: Option<&Surroundings>, out: &mut Vec<u8>) {
    let Some(Surroundings { air, wind, adjusted_for }) = around else { return varint(0, out) };
    let numbers = [
        air.temperature_c,
        air.pressure_hpa,
        air.sea_level_pressure_hpa,
        air.humidity_pct,
        air.altitude_m,
        wind.speed_mps,
        wind.from_deg,
        wind.height_m,
    ];
    let present =
        numbers.iter().rev().fold(0, |bits, number| bits << 1 | u64::from(number.is_some()));
    varint(present << 8 | u64::from(adjusted_for.bits()), out);
    for number in numbers.into_iter().flatten() {
        pack_value(number, out);
    }
}

fn pack_value(value: f64, out: &mut Vec<u8>) {
    let scaled = (value * SCALE).round();
    if scaled.abs() < EXACT {
        // In range by the line above.
        #[allow(clippy::cast_possible_truncation)]
        let whole = scaled as i64;
        // To the bit: what would read back as another double is written as one.
        if decimal(whole).to_bits() == value.to_bits() {
            return varint(zigzag(whole) << 1, out);
        }
    }
    out.push(1);
    out.extend_from_slice(&value.to_le_bytes());
}

/// The double of a decimal of six places, whose whole number is below 2^53.
#[allow(clippy::cast_precision_loss)]
fn decimal(whole: i64) -> f64 {
    whole as f64 / SCALE
}

fn bit(measure: Measure) -> u64 {
    1 << (measure as u32)
}

fn zigzag(value: i64) -> u64 {
    (value.cast_unsigned() << 1) ^ (value >> 63).cast_unsigned()
}

fn unzigzag(value: u64) -> i64 {
    (value >> 1).cast_signed() ^ -((value & 1).cast_signed())
}

fn varint(mut value: u64, out: &mut Vec<u8>) {
    while value >= 0x80 {
        // The low seven bits.
        #[allow(clippy::cast_possible_truncation)]
        out.push((value as u8) | 0x80);
        value >>= 7;
    }
    #[allow(clippy::cast_possible_truncation)] // under 0x80
    out.push(value as u8);
}

/// A word's place in its vocabulary, from 1; 0 is none.
fn code<W: PartialEq>(word: Option<W>, all: &[W]) -> u8 {
    let place = word.and_then(|word| all.iter().position(|known| *known == word));
    place.and_then(|place| u8::try_from(place + 1).ok()).unwrap_or(0)
}

struct Reader<'a> {
    rest: &'a [u8],
}

const CUT: LiveError = LiveError::Unreadable("a row that is cut short");
const STRANGE: LiveError = LiveError::Unreadable("a row with a member out of range");

impl Reader<'_> {
    fn byte(&mut self) -> Result<u8, LiveError> {
        let (first, rest) = self.rest.split_first().ok_or(CUT)?;
        self.rest = rest;
        Ok(*first)
    }

    fn array<const N: usize>(&mut self) -> Result<[u8; N], LiveError> {
        let (first, rest) = self.rest.split_first_chunk::<N>().ok_or(CUT)?;
        self.rest = rest;
        Ok(*first)
    }

    fn varint(&mut self) -> Result<u64, LiveError> {
        let mut value = 0_u64;
        for shift in (0..64).step_by(7) {
            let byte = self.byte()?;
            value |= u64::from(byte & 0x7f) << shift;
            if byte < 0x80 {
                return Ok(value);
            }
        }
        Err(STRANGE)
    }

    fn number(&mut self) -> Result<u32, LiveError> {
        let number = u32::try_from(self.varint()?).map_err(|_| STRANGE)?;
        Ok(number.wrapping_sub(1))
    }

    fn word<W: Copy>(&mut self, all: &[W]) -> Result<Option<W>, LiveError> {
        match self.byte()? {
            0 => Ok(None),
            place => all.get(usize::from(place) - 1).copied().map(Some).ok_or(STRANGE),
        }
    }

    fn time(&mut self) -> Result<Timestamp, LiveError> {
        let low = self.array::<12>()?;
        let sign = if low[11] & 0x80 == 0 { 0 } else { 0xff };
        let mut all = [sign; 16];
        all[..12].copy_from_slice(&low);
        Timestamp::from_nanosecond(i128::from_le_bytes(all)).map_err(|_| STRANGE)
    }

    fn date(&mut self) -> Result<Date, LiveError> {
        let day = unzigzag(self.varint()?);
        let part = |value: i64| i8::try_from(value).map_err(|_| STRANGE);
        let year = i16::try_from(day.div_euclid(512)).map_err(|_| STRANGE)?;
        let rest = day.rem_euclid(512);
        Date::new(year, part(rest / 32)?, part(rest % 32)?).map_err(|_| STRANGE)
    }

    fn value(&mut self) -> Result<f64, LiveError> {
        if self.rest.first() == Some(&1) {
            self.byte()?;
            return Ok(f64::from_le_bytes(self.array()?));
        }
        Ok(decimal(unzigzag(self.varint()? >> 1)))
    }

    fn surroundings(&mut self) -> Result<Option<Box<Surroundings>>, LiveError> {
        let bits = self.varint()?;
        if bits == 0 {
            return Ok(None);
        }
        let present = bits >> 8;
        let mut number = |at: u32| (present >> at & 1 == 1).then(|| self.value()).transpose();
        let air = Air {
            temperature_c: number(0)?,
            pressure_hpa: number(1)?,
            sea_level_pressure_hpa: number(2)?,
            humidity_pct: number(3)?,
            altitude_m: number(4)?,
        };
        let wind = Wind {
            speed_mps: number(5)?,
            from_deg: number(6)?,
            compass_from_deg: None,
            height_m: number(7)?,
        };
        let [adjusted, ..] = bits.to_le_bytes();
        Ok(Some(Box::new(Surroundings { air, wind, adjusted_for: Adjustments::of_bits(adjusted) })))
    }

    fn row(&mut self) -> Result<Row, LiveError> {
        let sequence = Sequence::new(self.varint()?);
        let (time, date) = (self.time()?, self.date()?);
        let [source, session, club, ball] =
            [self.number()?, self.number()?, self.number()?, self.number()?];
        let (lie, place) = (self.word(Lie::ALL)?, self.word(Place::ALL)?);
        let intent = Intent {
            height: self.word(Height::ALL)?.ok_or(STRANGE)?,
            shape: self.word(Shape::ALL)?.ok_or(STRANGE)?,
            swing: self.word(Swing::ALL)?.ok_or(STRANGE)?,
        };
        let purpose = self.word(Purpose::ALL)?.ok_or(STRANGE)?;
        let spin_origin = self.word(SpinOrigin::ALL)?;
        let speed_origin = self.word(SpeedOrigin::ALL)?;
        let flight_origin = self.word(FlightOrigin::ALL)?;
        let bits = self.byte()?;
        let flags = Flags::from_bits(self.varint()?);
        let surroundings = self.surroundings()?;
        let present = self.varint()?;
        let mut measures = Measures::NONE;
        for measure in Measure::ALL.iter().copied().filter(|m| present & bit(*m) != 0) {
            measures.set(measure, self.value()?);
        }
        let [wet, set_aside, retired] = [1, 2, 4].map(|bit| bits & bit != 0);
        Ok(Row {
            sequence,
            time,
            date,
            source,
            session,
            club,
            ball,
            lie,
            wet,
            place,
            intent,
            purpose,
            set_aside,
            retired,
            spin_origin,
            speed_origin,
            flight_origin,
            flags,
            surroundings,
            measures,
        })
    }
}

/// [`NONE`] is what an absent number reads back as.
const _: () = assert!(NONE == 0_u32.wrapping_sub(1));

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::shot::Adjustment;
    use proptest::prelude::*;

    /// Some of the numbers, as the bits say.
    fn surroundings(bits: u64, number: f64) -> Surroundings {
        let some = |at: u32| (bits >> at & 1 == 1).then_some(number / f64::from(at + 1));
        Surroundings {
            air: Air {
                temperature_c: some(0).map(|number| -number),
                pressure_hpa: some(1),
                sea_level_pressure_hpa: some(2),
                humidity_pct: some(3),
                altitude_m: some(4),
            },
            wind: Wind {
                speed_mps: some(5),
                from_deg: some(6),
                compass_from_deg: None,
                height_m: some(7),
            },
            // So that something is there in any case.
            adjusted_for: [Adjustment::Air].into_iter().collect(),
        }
    }

    fn any_row() -> impl Strategy<Value = Row> {
        let names = (any::<u32>(), any::<u32>(), any::<u32>(), any::<u32>());
        let words = (0..Lie::ALL.len(), 0..Height::ALL.len(), 0..Purpose::ALL.len());
        let values = prop::collection::vec(
            prop_oneof![
                Just(None),
                (-20_000.0..20_000.0_f64).prop_map(Some),
                (-2_000_000..2_000_000_i32).prop_map(|v| Some(f64::from(v) / 100.0)),
                (0..200_000_i32).prop_map(|v| Some(f64::from(v) / 100.0 * 0.9144)),
                Just(Some(-0.0)),
            ],
            Measure::COUNT,
        );
        let time = -200_000_000_000_000_000_000_i128..200_000_000_000_000_000_000;
        let flags = any::<u64>();
        (names, words, values, time, any::<bool>(), flags).prop_map(
            |(names, words, values, nanos, wet, flags)| {
                let mut measures = Measures::NONE;
                for (measure, value) in Measure::ALL.iter().zip(values) {
                    if let Some(value) = value {
                        measures.set(*measure, value);
                    }
                }
                let time = Timestamp::from_nanosecond(nanos).unwrap();
                Row {
                    sequence: Sequence::new(u64::from(names.0) << 20),
                    time,
                    date: jiff::tz::Offset::UTC.to_datetime(time).date(),
                    source: names.0,
                    session: names.1,
                    club: names.2,
                    ball: names.3,
                    lie: words.0.checked_sub(1).map(|lie| Lie::ALL[lie]),
                    wet,
                    place: wet.then_some(Place::ALL[0]),
                    intent: Intent { height: Height::ALL[words.1], ..Intent::default() },
                    purpose: Purpose::ALL[words.2],
                    set_aside: !wet,
                    retired: flags & 1 != 0,
                    spin_origin: wet.then_some(SpinOrigin::ALL[1]),
                    speed_origin: None,
                    flight_origin: Some(FlightOrigin::ALL[0]),
                    flags: Flags::from_bits(flags),
                    surroundings: wet.then(|| Box::new(surroundings(flags, f64::from(names.0)))),
                    measures,
                }
            },
        )
    }

    proptest! {
        #[test]
        fn rows_come_back_to_the_bit(rows in prop::collection::vec(any_row(), 0..8)) {
            let back = unpack(&pack(&rows)).unwrap();
            prop_assert_eq!(back.len(), rows.len());
            for (back, row) in back.iter().zip(&rows) {
                let bits = |row: &Row| -> Vec<(Measure, u64)> {
                    row.measures.iter().map(|(m, v)| (m, v.to_bits())).collect()
                };
                prop_assert_eq!(bits(back), bits(row));
                let bare = |row: &Row| Row { measures: Measures::NONE, ..row.clone() };
                prop_assert_eq!(format!("{:?}", bare(back)), format!("{:?}", bare(row)));
            }
        }

        #[test]
        fn any_bytes_are_rows_or_an_error(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
            let _ = unpack(&bytes);
        }
    }
}
