//! What counts of the tables once what was struck is left out.
//!
//! Statements that read name a table bare, and get it without what was struck: for the time of a
//! connection the bare name is that of a view before it. So no statement can forget. The few that
//! write, or must see everything (the history, numbers that are given once, erasing, copies, and
//! what is shown struck through), say `main.` before the name.
#![expect(clippy::disallowed_types, reason = "the book is the one place that talks to the database")]

use rusqlite::Connection;

use super::BookError;
use super::rows::measured_columns;

/// What was struck, by kind, and the tables without it. What belongs to a report is reached through
/// its report, so most of these need not look whether that was struck.
const VIEWS: &str = "
CREATE TEMP VIEW struck AS
    SELECT * FROM main.strike
    WHERE undoes IS NULL AND id NOT IN (SELECT undoes FROM main.strike WHERE undoes IS NOT NULL);
-- With a report goes what was made for it; none of that was posted.
CREATE TEMP VIEW struck_string AS
    SELECT string_id AS id FROM struck WHERE what = 'string'
    UNION SELECT m.string_id FROM struck JOIN main.remake m ON m.report_number = struck.report_number WHERE struck.what = 'report';
-- With a string go its reports.
CREATE TEMP VIEW struck_report AS
    SELECT report_number AS number FROM struck WHERE what = 'report'
    UNION SELECT r.number FROM struck_string JOIN main.report r ON r.string_id = struck_string.id;
CREATE TEMP VIEW struck_reading AS
    SELECT reading_id AS id FROM struck WHERE what = 'reading';
-- Lines of the history that nothing may follow from any more.
CREATE TEMP VIEW struck_event AS
    SELECT letter_id AS id FROM struck WHERE what = 'letter'
    UNION SELECT e.id FROM struck_reading JOIN main.event e ON e.reading_id = struck_reading.id
    -- Whoever said that there is no danger while a struck reading stood had that before them; and what was
    -- said of its own signs goes with them.
    UNION SELECT said.id FROM struck JOIN main.event e ON e.reading_id = struck.reading_id AND e.what = 'reading'
        JOIN main.event said ON said.report_number = struck.report_number AND said.id > e.id AND said.id < struck.event_id
        WHERE struck.what = 'reading' AND said.reading_id IS NULL AND (said.what = 'no-danger'
            OR said.what IN ('called-off', 'confirmed') AND EXISTS (SELECT 1 FROM main.sign g WHERE g.report_number = said.report_number AND g.reading_id = struck.reading_id AND said.fields = 'sign ' || g.number))
    UNION SELECT e.id FROM struck_string JOIN main.event e ON e.made_id = struck_string.id
    UNION SELECT undone.event_id FROM main.strike AS undoing JOIN main.strike AS undone ON undone.id = undoing.undoes
    -- That something was struck is no step of its report: it waits since its last.
    UNION SELECT e.id FROM main.strike AS strike CROSS JOIN main.event e ON e.id = strike.event_id WHERE e.what IN ('strike', 'unstrike');

CREATE TEMP VIEW string AS
    SELECT * FROM main.string WHERE id NOT IN (SELECT id FROM struck_string);
CREATE TEMP VIEW report AS
    SELECT * FROM main.report WHERE number NOT IN (SELECT number FROM struck_report);
CREATE TEMP VIEW remake AS
    SELECT * FROM main.remake WHERE string_id NOT IN (SELECT id FROM struck_string) AND report_number NOT IN (SELECT number FROM struck_report);
CREATE TEMP VIEW event AS
    SELECT * FROM main.event WHERE id NOT IN (SELECT id FROM struck_event);
CREATE TEMP VIEW cost AS
    SELECT * FROM main.cost WHERE event_id IS NULL OR event_id NOT IN (SELECT id FROM struck_event);
CREATE TEMP VIEW sent_letter AS
    SELECT * FROM main.sent_letter WHERE event_id IS NULL OR event_id NOT IN (SELECT id FROM struck_event);
CREATE TEMP VIEW noted_mail AS
    SELECT * FROM main.noted_mail WHERE report_number IS NULL
        OR report_number NOT IN (SELECT number FROM struck_report) AND reading_id NOT IN (SELECT id FROM struck_reading);
CREATE TEMP VIEW letter_text AS
    SELECT * FROM main.letter_text WHERE reading_id IS NULL OR reading_id NOT IN (SELECT id FROM struck_reading);
CREATE TEMP VIEW report_symptom AS
    SELECT * FROM main.report_symptom y WHERE reading_id IS NULL OR reading_id NOT IN (SELECT id FROM struck_reading)
        OR EXISTS (SELECT 1 FROM main.symptom_again a WHERE a.report_number = y.report_number AND a.symptom = y.symptom AND a.reading_id NOT IN (SELECT id FROM struck_reading));
CREATE TEMP VIEW open_question AS
    SELECT * FROM main.open_question q WHERE q.reading_id = (SELECT max(g.id) FROM reading g WHERE g.report_number = q.report_number);
CREATE TEMP VIEW sign AS
    SELECT s.id, s.report_number, s.number, s.kind, s.sure, s.words, s.stands_in,
        coalesce((SELECT w.standing FROM main.sign_said w WHERE w.sign_id = s.id AND w.again = 0 AND (w.reading_id IS NULL OR w.reading_id NOT IN (SELECT id FROM struck_reading)) ORDER BY w.id DESC LIMIT 1),
            iif(s.reading_id IN (SELECT id FROM struck_reading), 'open', s.standing)) AS standing
    FROM main.sign s WHERE s.reading_id IS NULL OR s.reading_id NOT IN (SELECT id FROM struck_reading)
        OR EXISTS (SELECT 1 FROM main.sign_said w WHERE w.sign_id = s.id AND w.again = 1 AND w.reading_id NOT IN (SELECT id FROM struck_reading));
";

/// The readings. The first of a report came in with it: where that is struck, the report came in
/// without a measurement.
fn reading_view() -> String {
    let measured: Vec<String> = measured_columns!()
        .split(", ")
        .map(|column| format!("iif(id IN (SELECT id FROM struck_reading), NULL, {column}) AS {column}"))
        .collect();
    format!(
        "CREATE TEMP VIEW reading AS SELECT id, report_number, taken_on, {} FROM main.reading g
            WHERE id NOT IN (SELECT id FROM struck_reading)
                OR NOT EXISTS (SELECT 1 FROM main.reading o WHERE o.report_number = g.report_number AND o.id < g.id);",
        measured.join(", ")
    )
}

/// Has every statement of a connection read the tables without what was struck.
pub(crate) fn leave_out_struck(connection: &Connection) -> Result<(), BookError> {
    Ok(connection.execute_batch(&(reading_view() + VIEWS))?)
}

/// Does what asks for the tables themselves by their bare names.
pub(super) fn without_views<T>(
    connection: &Connection,
    work: impl FnOnce() -> Result<T, BookError>,
) -> Result<T, BookError> {
    const DROPS: &str = "SELECT coalesce(group_concat('DROP VIEW temp.\"' || name || '\";', ' '), '') FROM temp.sqlite_schema WHERE type = 'view'";
    let drops: String = connection.query_row(DROPS, [], |row| row.get(0))?;
    connection.execute_batch(&drops)?;
    let done = work();
    leave_out_struck(connection)?;
    done
}
