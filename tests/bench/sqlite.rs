//! The same shots in `SQLite`.

use rusqlite::{Connection, params};
use tempfile::TempDir;

use crate::sent::Sent;

const ROWS_A_TRANSACTION: usize = 1_000;

const TABLE: &str = "
    PRAGMA journal_mode = WAL;
    PRAGMA synchronous = FULL;
    CREATE TABLE shots (
        sequence INTEGER PRIMARY KEY,
        source TEXT NOT NULL, id TEXT NOT NULL, time TEXT NOT NULL,
        player TEXT, club TEXT, session TEXT, lie TEXT,
        height TEXT, shape TEXT, swing TEXT, ball TEXT, place TEXT, origin TEXT,
        ball_speed_mps REAL, launch_angle_deg REAL, launch_direction_deg REAL,
        spin_rate_rpm REAL, spin_axis_deg REAL,
        clubhead_speed_mps REAL, attack_angle_deg REAL, head_path_deg REAL,
        face_to_target_deg REAL, strike_toe_mm REAL, strike_high_mm REAL,
        carry_m REAL, total_m REAL, side_m REAL, apex_m REAL, descent_angle_deg REAL,
        hang_time_s REAL, temperature_c REAL, humidity_pct REAL
    );
    CREATE UNIQUE INDEX identity ON shots (source, id);
    CREATE INDEX of_club ON shots (player, club);
";

const INSERT: &str = "
    INSERT INTO shots (source, id, time, player, club, session, lie, height, shape, swing, ball,
        place, origin,
        ball_speed_mps, launch_angle_deg, launch_direction_deg, spin_rate_rpm, spin_axis_deg,
        clubhead_speed_mps, attack_angle_deg, head_path_deg, face_to_target_deg, strike_toe_mm,
        strike_high_mm, carry_m, total_m, side_m, apex_m, descent_angle_deg, hang_time_s,
        temperature_c, humidity_pct)
    VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19,
        ?20, ?21, ?22, ?23, ?24, ?25, ?26, ?27, ?28, ?29, ?30, ?31, ?32)
";

/// A new database on the disk that holds the build.
pub(crate) struct Database {
    connection: Connection,
    _folder: TempDir,
}

/// Every line as a row.
pub(crate) fn parse_all(text: &str) -> Vec<Sent<'_>> {
    text.lines().map(parse).collect()
}

fn parse(line: &str) -> Sent<'_> {
    serde_json::from_str(line).unwrap()
}

impl Database {
    pub(crate) fn new() -> Self {
        let folder = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
        let connection = Connection::open(folder.path().join("shots.db")).unwrap();
        connection.execute_batch(TABLE).unwrap();
        Self { connection, _folder: folder }
    }

    pub(crate) fn insert_all(&mut self, rows: &[Sent<'_>]) {
        for group in rows.chunks(ROWS_A_TRANSACTION) {
            self.insert(group);
        }
    }

    pub(crate) fn parse_and_insert(&mut self, text: &str) {
        let mut lines = text.lines().map(parse).peekable();
        while lines.peek().is_some() {
            let group: Vec<Sent<'_>> = lines.by_ref().take(ROWS_A_TRANSACTION).collect();
            self.insert(&group);
        }
    }

    fn insert(&mut self, rows: &[Sent<'_>]) {
        let transaction = self.connection.transaction().unwrap();
        {
            let mut statement = transaction.prepare_cached(INSERT).unwrap();
            for row in rows {
                let Sent { intent, launch, clubhead, flight, air, .. } = row;
                statement
                    .execute(params![
                        row.source,
                        row.id,
                        row.time,
                        row.player,
                        row.club,
                        row.session,
                        row.lie,
                        intent.height,
                        intent.shape,
                        intent.swing,
                        row.ball,
                        row.place,
                        flight.origin,
                        launch.ball_speed_mps,
                        launch.launch_angle_deg,
                        launch.launch_direction_deg,
                        launch.spin_rate_rpm,
                        launch.spin_axis_deg,
                        clubhead.speed_mps,
                        clubhead.attack_angle_deg,
                        clubhead.head_path_deg,
                        clubhead.face_to_target_deg,
                        clubhead.strike_toe_mm,
                        clubhead.strike_high_mm,
                        flight.carry_m,
                        flight.total_m,
                        flight.side_m,
                        flight.apex_m,
                        flight.descent_angle_deg,
                        flight.hang_time_s,
                        air.temperature_c,
                        air.humidity_pct,
                    ])
                    .unwrap();
            }
        }
        transaction.commit().unwrap();
    }
}
