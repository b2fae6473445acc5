//! What the maker decided otherwise than it is worked out.

use rusqlite::Row;

use super::rows::insert;
use super::{BookError, Page};
use crate::trade::decision::Decision;

/// A decision as it was noted.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredDecision {
    /// What was decided.
    pub decision: Decision,
    /// Who of the workshop.
    pub who: String,
    /// Why.
    pub why: String,
    /// From then on it is as worked out again.
    pub taken_back: bool,
}

fn stored(row: &Row<'_>) -> rusqlite::Result<StoredDecision> {
    Ok(StoredDecision {
        decision: Decision {
            decided_on: row.get("decided_on")?,
            of: row.get("terms_of")?,
            free: row.get("free")?,
            remake: row.get("remake")?,
            turns: row.get("turns")?,
            length: row.get("length_inch")?,
            read_since: row.get("read_since")?,
        },
        who: row.get("who")?,
        why: row.get("why")?,
        taken_back: row.get("taken_back")?,
    })
}

impl Page<'_> {
    /// Notes what the maker decided, by what has been read so far.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_decision(&self, report: i64, stored: &StoredDecision) -> Result<(), BookError> {
        let decision = &stored.decision;
        insert!(self, "decision", {
            report_number: report,
            decided_on: decision.decided_on,
            who: stored.who,
            why: stored.why,
            taken_back: stored.taken_back,
            terms_of: decision.of,
            free: decision.free,
            remake: decision.remake,
            turns: decision.turns,
            length_inch: decision.length,
        })?;
        const READ: &str = "INSERT INTO decision_reading (decision_id, reading_id)
            SELECT max(d.id), g.id FROM decision d JOIN reading g ON g.report_number = d.report_number
            WHERE d.report_number = ?1 AND (g.brace_inch IS NOT NULL OR g.turns_changed IS NOT NULL) GROUP BY g.id";
        self.transaction.prepare_cached(READ)?.execute([report])?;
        Ok(())
    }

    /// What the maker decided on a report, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn decisions(&self, report: i64) -> Result<Vec<StoredDecision>, BookError> {
        // What counts of the readings now, against what counted then.
        const SQL: &str = "SELECT decided_on, who, why, taken_back, terms_of, free, remake, turns, length_inch,
                EXISTS (
                    SELECT 1 FROM reading g WHERE g.report_number = d.report_number AND (g.brace_inch IS NOT NULL OR g.turns_changed IS NOT NULL)
                        AND NOT EXISTS (SELECT 1 FROM decision_reading r WHERE r.decision_id = d.id AND r.reading_id = g.id)
                ) OR EXISTS (
                    SELECT 1 FROM decision_reading r WHERE r.decision_id = d.id AND r.reading_id IN (SELECT id FROM struck_reading)
                ) AS read_since
            FROM decision d WHERE report_number = ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        Ok(statement.query_map([report], stored)?.collect::<Result<_, _>>()?)
    }

    /// The decision that is in force for a report.
    ///
    /// # Errors
    /// The database refuses.
    pub fn decision(&self, report: i64) -> Result<Option<StoredDecision>, BookError> {
        Ok(self.decisions(report)?.pop().filter(|newest| !newest.taken_back))
    }
}
