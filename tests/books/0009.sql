PRAGMA foreign_keys = OFF;
PRAGMA application_id = 1179210580;
PRAGMA user_version = 9;
BEGIN TRANSACTION;
CREATE TABLE archer (
    id    INTEGER PRIMARY KEY,
    name  TEXT CHECK (length(name) <= 500),
    email TEXT CHECK (length(email) <= 500)
) STRICT;
INSERT INTO "archer" VALUES(1,'Odalind Quarrie','odalind@example.org');
INSERT INTO "archer" VALUES(2,'Perrin Vane','perrin@example.org');
INSERT INTO "archer" VALUES(3,'Ysolde Marrin',NULL);
INSERT INTO "archer" VALUES(4,'Corvin Leech','corvin@example.org');
INSERT INTO "archer" VALUES(5,'Tamsin Ewe','tamsin@example.org');
INSERT INTO "archer" VALUES(6,'Ottiwell Brack','ottiwell@example.org');
INSERT INTO "archer" VALUES(7,'Sib Harrow','sib@example.org');
INSERT INTO "archer" VALUES(8,NULL,NULL);
INSERT INTO "archer" VALUES(9,'Weak One',NULL);
CREATE TABLE below_floor (
    id        INTEGER PRIMARY KEY,
    string_id INTEGER NOT NULL UNIQUE REFERENCES string (id),
    marked_on TEXT NOT NULL CHECK (marked_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    -- Day of the letter that says not to shoot it.
    warned_on TEXT CHECK (warned_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')
) STRICT;
INSERT INTO "below_floor" VALUES(1,12,'2026-02-28',NULL);
CREATE TABLE bench_test (
    id          INTEGER PRIMARY KEY,
    yarn        TEXT NOT NULL CHECK (yarn IN ('polyester', 'hmpe', 'hmpe-lcp', 'linen', 'unknown')),
    strands     INTEGER NOT NULL CHECK (strands BETWEEN 2 AND 100),
    plies       INTEGER NOT NULL CHECK (plies IN (2, 3)),
    turns_few   REAL NOT NULL CHECK (turns_few BETWEEN 0 AND 500),
    length_few  REAL NOT NULL CHECK (length_few BETWEEN 1 AND 200),
    turns_many  REAL NOT NULL CHECK (turns_many BETWEEN 0 AND 500),
    length_many REAL NOT NULL CHECK (length_many BETWEEN 1 AND 200),
    radius_inch REAL NOT NULL CHECK (radius_inch BETWEEN 0.001 AND 1),
    made_on     TEXT NOT NULL,
    maker       TEXT
) STRICT;
INSERT INTO "bench_test" VALUES(1,'hmpe',16,2,12.0,58.25,32.0,57.625,5.66040724826698121718e-02,'2026-01-11','RK');
CREATE TABLE bow (
    id                       INTEGER PRIMARY KEY,
    archer_id                INTEGER NOT NULL REFERENCES archer (id),
    kind                     TEXT NOT NULL CHECK (kind IN ('selfbow', 'longbow', 'reflex-deflex', 'recurve', 'long-riser', 'horsebow', 'unknown')),
    marked_inch              REAL CHECK (marked_inch BETWEEN 1 AND 200),
    nock_to_nock_inch        REAL CHECK (nock_to_nock_inch BETWEEN 1 AND 200),
    draw_weight_lb           REAL CHECK (draw_weight_lb BETWEEN 1 AND 500),
    draw_at_inch             REAL CHECK (draw_at_inch BETWEEN 1 AND 60),
    brace_low_inch           REAL CHECK (brace_low_inch BETWEEN 0.1 AND 40),
    brace_high_inch          REAL CHECK (brace_high_inch BETWEEN 0.1 AND 40),
    tips                     TEXT NOT NULL CHECK (tips IN ('reinforced', 'plain', 'unknown')),
    stave                    TEXT NOT NULL CHECK (stave IN ('wood', 'laminated', 'unknown')),
    year                     INTEGER CHECK (year BETWEEN 1000 AND 3000),
    maker_allows_low_stretch INTEGER NOT NULL CHECK (maker_allows_low_stretch IN (0, 1)),
    CHECK ((brace_low_inch IS NULL) = (brace_high_inch IS NULL) AND (brace_low_inch IS NULL OR brace_low_inch <= brace_high_inch))
) STRICT;
INSERT INTO "bow" VALUES(1,1,'recurve',62.0,59.25,45.0,NULL,7.5,8.0,'reinforced','laminated',2015,0);
INSERT INTO "bow" VALUES(2,2,'longbow',68.0,NULL,NULL,NULL,6.0,6.5,'unknown','unknown',NULL,0);
INSERT INTO "bow" VALUES(3,3,'selfbow',66.0,NULL,NULL,NULL,NULL,NULL,'plain','wood',NULL,0);
INSERT INTO "bow" VALUES(4,4,'recurve',66.0,NULL,38.0,28.0,8.0,8.5,'unknown','unknown',NULL,0);
INSERT INTO "bow" VALUES(5,4,'recurve',66.0,NULL,NULL,NULL,NULL,NULL,'reinforced','unknown',NULL,0);
INSERT INTO "bow" VALUES(6,5,'recurve',NULL,NULL,NULL,NULL,NULL,NULL,'unknown','unknown',NULL,0);
INSERT INTO "bow" VALUES(7,6,'longbow',66.0,NULL,NULL,NULL,NULL,NULL,'unknown','unknown',NULL,0);
INSERT INTO "bow" VALUES(8,7,'longbow',NULL,NULL,NULL,NULL,NULL,NULL,'unknown','unknown',NULL,0);
INSERT INTO "bow" VALUES(9,8,'recurve',NULL,NULL,NULL,NULL,NULL,NULL,'unknown','unknown',NULL,0);
INSERT INTO "bow" VALUES(10,9,'longbow',66.0,NULL,70.0,28.0,NULL,NULL,'unknown','unknown',NULL,0);
CREATE TABLE cost (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    day           TEXT NOT NULL,
    what          TEXT NOT NULL CHECK (what IN ('answer', 'remake', 'label', 'material', 'history')),
    cents         INTEGER NOT NULL CHECK (cents >= 0)
) STRICT;
INSERT INTO "cost" VALUES(1,1,'2026-02-01','answer',400);
INSERT INTO "cost" VALUES(2,4,'2026-02-08','answer',400);
INSERT INTO "cost" VALUES(3,2,'2026-02-10','remake',1800);
INSERT INTO "cost" VALUES(4,2,'2026-02-12','label',600);
INSERT INTO "cost" VALUES(5,3,'2026-02-13','remake',1800);
INSERT INTO "cost" VALUES(6,6,'2025-11-02','history',2450);
CREATE TABLE digest_key (
    id  INTEGER PRIMARY KEY CHECK (id = 1),
    key TEXT NOT NULL CHECK (length(key) = 64)
) STRICT;
INSERT INTO "digest_key" VALUES(1,'2fe00906628cb49c889598deca3e574601ea6454fbae2b19e9d83d4eda920a60');
CREATE TABLE event (
    id            INTEGER PRIMARY KEY,
    day           TEXT NOT NULL,
    who           TEXT NOT NULL,
    what          TEXT NOT NULL,
    string_id     INTEGER REFERENCES string (id),
    report_number INTEGER REFERENCES report (number),
    -- Names of the fields concerned, never personal values.
    fields        TEXT NOT NULL
) STRICT;
INSERT INTO "event" VALUES(1,'2026-01-15','RK','sold',1,NULL,'all');
INSERT INTO "event" VALUES(2,'2026-01-06','RK','sold',2,NULL,'all');
INSERT INTO "event" VALUES(3,'2026-01-07','RK','sold',3,NULL,'all');
INSERT INTO "event" VALUES(4,'2026-01-08','RK','sold',4,NULL,'all');
INSERT INTO "event" VALUES(5,'2026-01-08','RK','sold',5,NULL,'all');
INSERT INTO "event" VALUES(6,'2026-01-09','RK','sold',6,NULL,'import');
INSERT INTO "event" VALUES(7,'2026-01-09','RK','sold',7,NULL,'import');
INSERT INTO "event" VALUES(8,'2026-01-09','RK','sold',8,NULL,'import');
INSERT INTO "event" VALUES(9,'2026-01-09','RK','sold',9,NULL,'import');
INSERT INTO "event" VALUES(10,'2026-01-10','RK','setting',NULL,NULL,'reading.sd');
INSERT INTO "event" VALUES(11,'2026-01-10','RK','setting',NULL,NULL,'offset.marked.recurve');
INSERT INTO "event" VALUES(12,'2026-01-11','RK','bench-test',NULL,NULL,'turn constant');
INSERT INTO "event" VALUES(13,'2026-02-01','RK','report',1,1,'');
INSERT INTO "event" VALUES(14,'2026-02-01','RK','advice',1,1,'');
INSERT INTO "event" VALUES(15,'2026-02-01','RK','letter',1,1,'');
INSERT INTO "event" VALUES(16,'2026-02-05','RK','reading',1,1,'');
INSERT INTO "event" VALUES(17,'2026-02-05','RK','advice',1,1,'');
INSERT INTO "event" VALUES(18,'2026-02-06','RK','report',2,2,'');
INSERT INTO "event" VALUES(19,'2026-02-06','RK','advice',2,2,'');
INSERT INTO "event" VALUES(20,'2026-02-07','RK','report',3,3,'');
INSERT INTO "event" VALUES(21,'2026-02-07','RK','advice',3,3,'');
INSERT INTO "event" VALUES(22,'2026-02-08','RK','report',4,4,'');
INSERT INTO "event" VALUES(23,'2026-02-08','RK','advice',4,4,'');
INSERT INTO "event" VALUES(24,'2026-02-08','RK','letter',4,4,'');
INSERT INTO "event" VALUES(25,'2026-02-09','RK','report',5,5,'');
INSERT INTO "event" VALUES(26,'2026-02-09','RK','advice',5,5,'');
INSERT INTO "event" VALUES(27,'2026-02-09','RK','bow',5,NULL,'tips');
INSERT INTO "event" VALUES(28,'2026-02-10','RK','spool',NULL,NULL,'all');
INSERT INTO "event" VALUES(29,'2026-02-10','RK','remake',2,2,'');
INSERT INTO "event" VALUES(30,'2026-02-12','RK','sent',2,2,'');
INSERT INTO "event" VALUES(31,'2026-02-13','RK','remake',3,3,'');
INSERT INTO "event" VALUES(32,'2026-02-20','RK','settle',4,4,'');
INSERT INTO "event" VALUES(33,'2026-02-21','RK','settle',5,5,'');
INSERT INTO "event" VALUES(34,'2026-02-22','RK','settle',1,1,'');
INSERT INTO "event" VALUES(35,'2026-02-23','RK','resume',1,1,'');
INSERT INTO "event" VALUES(36,'2026-02-24','RK','report',8,6,'');
INSERT INTO "event" VALUES(37,'2026-02-24','RK','settle',8,6,'');
INSERT INTO "event" VALUES(38,'2026-02-24','RK','report',9,7,'');
INSERT INTO "event" VALUES(39,'2026-02-24','RK','settle',9,7,'');
INSERT INTO "event" VALUES(40,'2026-02-25','RK','question',6,NULL,'month');
INSERT INTO "event" VALUES(41,'2026-02-25','RK','question',7,NULL,'month');
INSERT INTO "event" VALUES(42,'2026-02-26','RK','question-answer',6,NULL,'fits');
INSERT INTO "event" VALUES(43,'2026-02-26','RK','question-answer',7,NULL,'turned');
INSERT INTO "event" VALUES(44,'2026-02-27','RK','question-answer',7,NULL,'turned');
INSERT INTO "event" VALUES(45,'2026-02-28','RK','forget',NULL,NULL,'A-8 name email order_ref letter_text');
INSERT INTO "event" VALUES(46,'2026-02-28','RK','bow',7,NULL,'bow_marked_length');
INSERT INTO "event" VALUES(47,'2026-02-28','RK','report',7,8,'');
INSERT INTO "event" VALUES(48,'2026-02-28','RK','sold',12,NULL,'all');
INSERT INTO "event" VALUES(49,'2026-02-28','RK','report',4,9,'');
INSERT INTO "event" VALUES(50,'2026-02-28','RK','called-off',4,9,'sign 1');
INSERT INTO "event" VALUES(51,'2026-02-28','RK','advice',4,9,'');
CREATE TABLE forgotten (
    id           INTEGER PRIMARY KEY,
    archer_id    INTEGER NOT NULL REFERENCES archer (id),
    forgotten_on TEXT NOT NULL CHECK (forgotten_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    digest       TEXT NOT NULL CHECK (length(digest) = 64)
) STRICT;
INSERT INTO "forgotten" VALUES(1,8,'2026-02-28','76a8d2872bb5fb9dba9e462d01443a97197b7bcf50525a6bf7eabc16a8ed4b80');
INSERT INTO "forgotten" VALUES(2,8,'2026-02-28','4e8d50feacf7e5615af565a2a0c0ebf2eb8f8ce3c4bb5bf256a179ebf4708f72');
CREATE TABLE letter_text (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    received_on   TEXT NOT NULL,
    body          TEXT NOT NULL
) STRICT;
INSERT INTO "letter_text" VALUES(1,1,'2026-02-01','It reads low. The serving is frayed a little. Yours, Odalind
');
INSERT INTO "letter_text" VALUES(2,6,'2025-11-02','wrote twice');
INSERT INTO "letter_text" VALUES(3,8,'2026-02-28','Bow is a 66, string 63. Brace is 6 7/8.');
INSERT INTO "letter_text" VALUES(4,9,'2026-02-28','A strand popped near the loop yesterday, and I think the limb has a crack.
');
CREATE TABLE open_question (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    question      TEXT NOT NULL CHECK (length(question) <= 1000)
) STRICT;
INSERT INTO "open_question" VALUES(1,8,'Is 63 the length of the string or of the bow?');
CREATE TABLE owed_scrub (
    id           INTEGER PRIMARY KEY CHECK (id = 1),
    forgotten_on TEXT NOT NULL CHECK (forgotten_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')
) STRICT;
CREATE TABLE question (
    id        INTEGER PRIMARY KEY,
    string_id INTEGER NOT NULL UNIQUE REFERENCES string (id),
    -- First day of the month it was drawn for.
    month     TEXT NOT NULL CHECK (month GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-01'),
    drawn_on  TEXT NOT NULL CHECK (drawn_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    letter_on TEXT CHECK (letter_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')
) STRICT;
INSERT INTO "question" VALUES(1,6,'2026-02-01','2026-02-25','2026-02-25');
INSERT INTO "question" VALUES(2,7,'2026-02-01','2026-02-25',NULL);
CREATE TABLE question_answer (
    id          INTEGER PRIMARY KEY,
    question_id INTEGER NOT NULL REFERENCES question (id),
    answered_on TEXT NOT NULL CHECK (answered_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    answer      TEXT NOT NULL CHECK (answer IN ('fits', 'turned', 'brace')),
    turns       REAL CHECK (turns BETWEEN -500 AND 500),
    brace_inch  REAL CHECK (brace_inch BETWEEN 0.1 AND 40),
    -- Right minus ordered length by the answer; 0 where it fits.
    error_inch  REAL NOT NULL CHECK (error_inch BETWEEN -20 AND 20)
) STRICT;
INSERT INTO "question_answer" VALUES(1,1,'2026-02-26','fits',NULL,NULL,0.0);
INSERT INTO "question_answer" VALUES(2,2,'2026-02-26','turned',4.0,NULL,-1.44730413629192034008e-01);
INSERT INTO "question_answer" VALUES(3,2,'2026-02-27','turned',6.0,NULL,-2.25235391233415294109e-01);
CREATE TABLE reading (
    id                INTEGER PRIMARY KEY,
    report_number     INTEGER NOT NULL REFERENCES report (number),
    taken_on          TEXT NOT NULL CHECK (taken_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    brace_inch        REAL CHECK (brace_inch BETWEEN 0.1 AND 40),
    readings          INTEGER CHECK (readings BETWEEN 1 AND 1000),
    want_low_inch     REAL CHECK (want_low_inch BETWEEN 0.1 AND 40),
    want_high_inch    REAL CHECK (want_high_inch BETWEEN 0.1 AND 40),
    length_inch       REAL CHECK (length_inch BETWEEN 1 AND 200),
    length_at         TEXT CHECK (length_at IN ('loaded', 'hand-tight', 'unknown')),
    turns_changed     REAL CHECK (turns_changed BETWEEN -500 AND 500),
    turns_counted     REAL CHECK (turns_counted BETWEEN 0 AND 500),
    counted_over_inch REAL CHECK (counted_over_inch BETWEEN 0.1 AND 200),
    free_string_inch  REAL CHECK (free_string_inch BETWEEN 1 AND 200),
    fade_span_inch    REAL CHECK (fade_span_inch BETWEEN 0.1 AND 100),
    fade_gap_inch     REAL CHECK (fade_gap_inch BETWEEN 0.1 AND 50),
    fade_to_nock_inch REAL CHECK (fade_to_nock_inch BETWEEN 0.1 AND 100),
    shots             INTEGER CHECK (shots BETWEEN 0 AND 10000000),
    marker            TEXT CHECK (marker IN ('up', 'down', 'unknown')),
    serving_inch      REAL CHECK (serving_inch BETWEEN -20 AND 20),
    photo             TEXT CHECK (photo IN ('sound', 'damaged', 'differs'))
) STRICT;
INSERT INTO "reading" VALUES(1,1,'2026-02-01',7.0,3,7.5,8.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,150,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(2,1,'2026-02-05',7.25,NULL,NULL,NULL,NULL,NULL,8.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'sound');
INSERT INTO "reading" VALUES(3,2,'2026-02-06',4.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,300,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(4,3,'2026-02-07',5.0,NULL,NULL,NULL,62.5,'hand-tight',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(5,4,'2026-02-08',7.25,NULL,NULL,NULL,NULL,NULL,NULL,28.0,55.0,NULL,NULL,NULL,NULL,200,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(6,5,'2026-02-09',8.125,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'down',0.5,NULL);
INSERT INTO "reading" VALUES(7,6,'2025-11-02',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(8,7,'2025-11-20',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(9,8,'2026-02-28',6.875,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(10,9,'2026-02-28',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
CREATE TABLE remake (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    string_id     INTEGER NOT NULL UNIQUE REFERENCES string (id),
    made_on       TEXT NOT NULL CHECK (made_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    sent_on       TEXT CHECK (sent_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    -- Day on which the old string came back.
    back_on       TEXT CHECK (back_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')
) STRICT;
INSERT INTO "remake" VALUES(1,2,10,'2026-02-10','2026-02-12',NULL);
INSERT INTO "remake" VALUES(2,3,11,'2026-02-13',NULL,NULL);
CREATE TABLE report (
    number      INTEGER PRIMARY KEY,
    string_id   INTEGER NOT NULL REFERENCES string (id),
    received_on TEXT NOT NULL CHECK (received_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    -- Words found in the text that speak of the bow; kept apart so that the text can be erased.
    imported TEXT CHECK (imported IS NULL OR json_valid(imported)), direction TEXT CHECK (direction IN ('long', 'short'))) STRICT;
INSERT INTO "report" VALUES(1,1,'2026-02-01',NULL,NULL);
INSERT INTO "report" VALUES(2,2,'2026-02-06',NULL,NULL);
INSERT INTO "report" VALUES(3,3,'2026-02-07',NULL,NULL);
INSERT INTO "report" VALUES(4,4,'2026-02-08',NULL,NULL);
INSERT INTO "report" VALUES(5,5,'2026-02-09',NULL,NULL);
INSERT INTO "report" VALUES(6,8,'2025-11-02','{"serial":"w-3","reported_on":"2025-11-02","symptom":"brace-low","direction":"long","outcome":"remade","right_length":"60.5","cost":"2450"}','long');
INSERT INTO "report" VALUES(7,9,'2025-11-20','{"serial":"w-4","reported_on":"2025-11-20","symptom":"loose-tags","outcome":"reassured"}',NULL);
INSERT INTO "report" VALUES(8,7,'2026-02-28',NULL,NULL);
INSERT INTO "report" VALUES(9,4,'2026-02-28',NULL,NULL);
CREATE TABLE report_symptom (
    report_number INTEGER NOT NULL REFERENCES report (number),
    symptom       TEXT NOT NULL CHECK (symptom IN ('brace-low', 'brace-high', 'too-long', 'too-short', 'will-not-string', 'loose-tags', 'serving-place', 'serving-gap', 'serving-loose', 'nock-fit', 'nocking-point', 'loop-fit', 'kinked', 'fuzzy', 'frayed', 'broken-strand', 'noisy', 'hand-slap', 'not-as-ordered', 'dry-fire', 'bow-damage', 'other')),
    PRIMARY KEY (report_number, symptom)
) STRICT, WITHOUT ROWID;
INSERT INTO "report_symptom" VALUES(1,'brace-low');
INSERT INTO "report_symptom" VALUES(2,'brace-low');
INSERT INTO "report_symptom" VALUES(3,'broken-strand');
INSERT INTO "report_symptom" VALUES(4,'brace-low');
INSERT INTO "report_symptom" VALUES(5,'serving-place');
INSERT INTO "report_symptom" VALUES(6,'brace-low');
INSERT INTO "report_symptom" VALUES(6,'too-long');
INSERT INTO "report_symptom" VALUES(7,'loose-tags');
INSERT INTO "report_symptom" VALUES(8,'other');
INSERT INTO "report_symptom" VALUES(9,'noisy');
CREATE TABLE setting (
    id     INTEGER PRIMARY KEY,
    name   TEXT NOT NULL CHECK (length(name) <= 200),
    value  TEXT NOT NULL CHECK (length(value) <= 1000),
    set_on TEXT NOT NULL
, why TEXT CHECK (length(why) BETWEEN 1 AND 500)) STRICT;
INSERT INTO "setting" VALUES(1,'reading.sd','0.1','2026-01-10',NULL);
INSERT INTO "setting" VALUES(2,'offset.marked.recurve','3.75','2026-01-10',NULL);
CREATE TABLE settlement (
    id                 INTEGER PRIMARY KEY,
    report_number      INTEGER NOT NULL REFERENCES report (number),
    settled_on         TEXT NOT NULL CHECK (settled_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    outcome            TEXT NOT NULL CHECK (outcome IN ('reassured', 'adjusted', 'mended', 'remade', 'referred', 'unfinished')),
    cause              TEXT NOT NULL CHECK (cause IN ('workshop', 'sizing', 'settling', 'handling', 'cosmetic', 'bow', 'yarn-choice', 'unknown')),
    proposed_cause     TEXT NOT NULL,
    -- Loaded length that would have been right, where it is known.
    right_length_inch  REAL CHECK (right_length_inch BETWEEN 1 AND 200)
) STRICT;
INSERT INTO "settlement" VALUES(1,4,'2026-02-20','adjusted','sizing','sizing',6.11552365552004673077e+01);
INSERT INTO "settlement" VALUES(2,5,'2026-02-21','unfinished','handling','handling',NULL);
INSERT INTO "settlement" VALUES(3,1,'2026-02-22','adjusted','sizing','sizing',5.73602883755722885422e+01);
INSERT INTO "settlement" VALUES(4,6,'2025-11-02','remade','sizing','sizing',60.5);
INSERT INTO "settlement" VALUES(5,7,'2025-11-20','reassured','unknown','unknown',NULL);
CREATE TABLE sign (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    -- By this number people speak of it: the first of a report is 1.
    number        INTEGER NOT NULL CHECK (number >= 1),
    kind          TEXT NOT NULL CHECK (kind IN ('string', 'bow', 'shot')),
    -- Stated as an event; else it is asked about.
    sure          INTEGER NOT NULL CHECK (sure IN (0, 1)),
    -- The archer's words; emptied when the archer is forgotten.
    words         TEXT NOT NULL CHECK (length(words) <= 400),
    stands_in     TEXT NOT NULL CHECK (stands_in IN ('subject', 'message', 'forwarded', 'answer')),
    standing      TEXT NOT NULL CHECK (standing IN ('open', 'called-off', 'confirmed', 'answered')),
    UNIQUE (report_number, number)
) STRICT;
INSERT INTO "sign" VALUES(1,9,1,'string',1,'A strand popped near the','message','called-off');
INSERT INTO "sign" VALUES(2,9,2,'bow',0,'think the limb has a crack','message','open');
CREATE TABLE spool (
    id   INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (length(name) BETWEEN 1 AND 200),
    yarn TEXT NOT NULL CHECK (yarn IN ('polyester', 'hmpe', 'hmpe-lcp', 'linen', 'unknown'))
, colour TEXT CHECK (length(colour) <= 500), bought_on TEXT CHECK (bought_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')) STRICT;
INSERT INTO "spool" VALUES(1,'L-7','hmpe',NULL,NULL);
INSERT INTO "spool" VALUES(2,'L-9','polyester','green',NULL);
CREATE TABLE string (
    id               INTEGER PRIMARY KEY,
    serial           TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (length(serial) BETWEEN 1 AND 80),
    order_ref        TEXT CHECK (length(order_ref) <= 500),
    archer_id        INTEGER NOT NULL REFERENCES archer (id),
    bow_id           INTEGER NOT NULL REFERENCES bow (id),
    sold_on          TEXT NOT NULL CHECK (sold_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    delivered_on     TEXT CHECK (delivered_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    route            TEXT NOT NULL CHECK (route IN ('old-string', 'marked', 'nock-to-nock', 'bow-maker', 'worked-out', 'repeat')),
    stated_inch      REAL CHECK (stated_inch BETWEEN 1 AND 200),
    stated_at        TEXT NOT NULL CHECK (stated_at IN ('loaded', 'hand-tight', 'unknown')),
    offset_inch      REAL CHECK (offset_inch BETWEEN -20 AND 20),
    ordered_inch     REAL NOT NULL CHECK (ordered_inch BETWEEN 1 AND 200),
    built_inch       REAL CHECK (built_inch BETWEEN 1 AND 200),
    built_at         TEXT NOT NULL CHECK (built_at IN ('loaded', 'hand-tight', 'unknown')),
    built_across     TEXT NOT NULL CHECK (built_across IN ('outside', 'inside')),
    old_yarn         TEXT CHECK (old_yarn IN ('polyester', 'hmpe', 'hmpe-lcp', 'linen', 'unknown')),
    old_make         TEXT CHECK (old_make IN ('laid', 'endless', 'unknown')),
    old_measured     TEXT CHECK (old_measured IN ('outside', 'inside')),
    yarn             TEXT NOT NULL CHECK (yarn IN ('polyester', 'hmpe', 'hmpe-lcp', 'linen', 'unknown')),
    strands          INTEGER CHECK (strands BETWEEN 2 AND 100),
    plies            INTEGER NOT NULL CHECK (plies IN (2, 3)),
    lay              TEXT NOT NULL CHECK (lay IN ('z', 's')),
    turns            REAL CHECK (turns BETWEEN 0 AND 500),
    loop_top_inch    REAL CHECK (loop_top_inch BETWEEN 0 AND 20),
    loop_bottom_inch REAL CHECK (loop_bottom_inch BETWEEN 0 AND 20),
    serving_inch     REAL CHECK (serving_inch BETWEEN -20 AND 20),
    pre_stretched    INTEGER CHECK (pre_stretched IN (0, 1)),
    silencers        INTEGER CHECK (silencers IN (0, 1)),
    colours          TEXT CHECK (length(colours) <= 500),
    spool_id         INTEGER REFERENCES spool (id),
    maker            TEXT CHECK (length(maker) <= 500),
    maker_initials   TEXT CHECK (length(maker_initials) <= 20),
    price_cents      INTEGER CHECK (price_cents >= 0),
    replaces_id      INTEGER REFERENCES string (id),
    -- What an import said of this string, personal values apart, to tell the same row from another.
    imported         TEXT CHECK (imported IS NULL OR json_valid(imported))
) STRICT;
INSERT INTO "string" VALUES(1,'S-1','O-1',1,1,'2026-01-05','2026-01-12','marked',62.0,'unknown',4.0,58.0,58.0625,'loaded','outside',NULL,NULL,NULL,'hmpe',16,2,'z',24.0,2.5,2.0,0.25,1,0,'green, white',NULL,'Rafe Kell','RK',2450,NULL,NULL);
INSERT INTO "string" VALUES(2,'S-2',NULL,2,2,'2026-01-06',NULL,'old-string',64.0,'hand-tight',0.0,64.25,NULL,'loaded','outside','hmpe','endless','outside','polyester',14,2,'z',26.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "string" VALUES(3,'S-3',NULL,3,3,'2026-01-07',NULL,'nock-to-nock',66.0,'unknown',3.0,63.0,NULL,'loaded','outside',NULL,NULL,NULL,'hmpe',14,2,'z',22.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "string" VALUES(4,'S-4',NULL,4,4,'2026-01-08',NULL,'marked',66.0,'unknown',4.0,62.0,NULL,'loaded','outside',NULL,NULL,NULL,'polyester',14,2,'z',28.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "string" VALUES(5,'S-5',NULL,4,5,'2026-01-08',NULL,'marked',66.0,'unknown',4.0,62.0,NULL,'loaded','outside',NULL,NULL,NULL,'polyester',14,2,'z',28.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,4,NULL);
INSERT INTO "string" VALUES(6,'W-1','O-101',5,6,'2025-09-02',NULL,'marked',62.0,'unknown',NULL,58.0,NULL,'loaded','outside',NULL,NULL,NULL,'hmpe',16,2,'z',24.0,NULL,NULL,NULL,NULL,NULL,NULL,1,NULL,NULL,NULL,NULL,'{"serial":"w-1","order_ref":"O-101","sold_on":"2025-09-02","bow_kind":"recurve","route":"marked","stated_measure":"62","ordered_length":"58","yarn":"hmpe","strands":"16","turns":"24","spool":"L-7"}');
INSERT INTO "string" VALUES(7,'W-2','O-102',6,7,'2025-09-05',NULL,'old-string',60.0,'hand-tight',NULL,60.0,NULL,'loaded','outside',NULL,NULL,NULL,'polyester',14,2,'z',26.0,NULL,NULL,NULL,NULL,NULL,NULL,1,NULL,NULL,NULL,NULL,'{"serial":"w-2","order_ref":"O-102","sold_on":"2025-09-05","bow_kind":"longbow","route":"old-string","stated_measure":"60","ordered_length":"60","yarn":"polyester","strands":"14","turns":"26","spool":"L-7"}');
INSERT INTO "string" VALUES(8,'W-3','O-103',7,8,'2025-10-01',NULL,'nock-to-nock',64.0,'unknown',NULL,61.0,NULL,'loaded','outside',NULL,NULL,NULL,'linen',18,2,'z',30.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'{"serial":"w-3","order_ref":"O-103","sold_on":"2025-10-01","bow_kind":"longbow","route":"nock-to-nock","stated_measure":"64","ordered_length":"61","yarn":"linen","strands":"18","turns":"30"}');
INSERT INTO "string" VALUES(9,'W-4',NULL,8,9,'2025-10-20',NULL,'bow-maker',57.0,'unknown',NULL,57.0,NULL,'loaded','outside',NULL,NULL,NULL,'hmpe',16,2,'z',22.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'{"serial":"w-4","sold_on":"2025-10-20","bow_kind":"recurve","route":"bow-maker","stated_measure":"57","ordered_length":"57","yarn":"hmpe","strands":"16","turns":"22"}');
INSERT INTO "string" VALUES(10,'S-6',NULL,2,2,'2026-02-10',NULL,'old-string',NULL,'hand-tight',NULL,63.125,NULL,'loaded','outside','hmpe','endless','outside','polyester',14,2,'z',31.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,2,NULL);
INSERT INTO "string" VALUES(11,'S-7',NULL,3,3,'2026-02-13',NULL,'nock-to-nock',NULL,'unknown',NULL,63.25,NULL,'loaded','outside',NULL,NULL,NULL,'polyester',14,2,'z',31.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,3,NULL);
INSERT INTO "string" VALUES(12,'W-9',NULL,9,10,'2026-02-01',NULL,'marked',66.0,'unknown',3.0,63.0,NULL,'loaded','outside',NULL,NULL,NULL,'linen',6,2,'z',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
CREATE TABLE verdict (
    id              INTEGER PRIMARY KEY,
    report_number   INTEGER NOT NULL REFERENCES report (number),
    made_on         TEXT NOT NULL,
    program_version TEXT NOT NULL,
    verdict         TEXT NOT NULL CHECK (verdict IN ('reassure', 'ask', 'adjust', 'mend', 'remake', 'refer', 'stop')),
    -- Everything it was worked out from: rules, string, bow, readings, pooled figures.
    inputs          TEXT NOT NULL CHECK (json_valid(inputs)),
    advice          TEXT NOT NULL CHECK (json_valid(advice))
, turns INTEGER, flip INTEGER NOT NULL DEFAULT 0 CHECK (flip IN (0, 1)), remake_length_inch REAL, likely_cause TEXT CHECK (likely_cause IN ('workshop', 'sizing', 'settling', 'handling', 'cosmetic', 'bow', 'yarn-choice', 'unknown'))) STRICT;
INSERT INTO "verdict" VALUES(1,1,'2026-02-01','0.1.0','adjust','{"string":{"serial":"S-1","order_ref":null,"sold_on":"2026-01-05","delivered_on":"2026-01-12","route":"marked","stated":62.0,"stated_at":"unknown","offset":4.0,"ordered":58.0,"built":58.0625,"built_at":"loaded","built_across":"outside","old_yarn":null,"old_make":null,"old_measured":null,"yarn":"hmpe","strands":16,"plies":2,"lay":"z","turns":24.0,"loop_top":2.5,"loop_bottom":2.0,"serving":0.25,"pre_stretched":true,"silencers":false,"colours":"green, white","spool":null,"maker":"Rafe Kell","maker_initials":"RK","price_cents":2450,"replaces":null},"bow":{"kind":"recurve","marked_length":62.0,"nock_to_nock":59.25,"draw_weight":{"pounds":45.0,"at_inch":null},"brace_range":{"low_inch":7.5,"high_inch":8.0},"tips":"reinforced","stave":"laminated","year":2015,"maker_allows_low_stretch":false},"reports":[{"number":1,"received_on":"2026-02-01","symptoms":["brace-low"],"bow_signs":[],"readings":[{"taken_on":"2026-02-01","measurements":{"brace":7.0,"readings":3,"want":{"low_inch":7.5,"high_inch":8.0},"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":150,"marker":null,"serving":null,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":0.05660407248266981,"bow_effect":null,"own_second_readings":0,"pooled_ratio":1.0,"pooled_ratio_sd":0.1392838827718412,"settling":{"expected":0.0625,"sd":0.0625,"readings":0}}','{"verdict":"adjust","turns":14,"flip":false,"brace_now":7.0,"want":[7.5,8.0],"want_source":"bow-maker","brace_after":7.738764285198044,"brace_after_sd":0.11028064986235116,"chance_in_range":0.9758861624251858,"turns_now":[24.0,1.0],"window":[20,43],"reach":[6.843226690633389,8.067188110250871],"play_used":0.0,"play_left_in":0.9293112464827172,"play_left_out":0.1254288560610191,"remake_length":null,"remake_turns":null,"remake_yarn":null,"likely_cause":"sizing","cost_adjust":468,"cost_remake":3290,"ask":[],"first_step":null,"measure_again_after":null,"reasons":[{"reason":"reads","brace":7.0,"readings":3,"low":7.5,"high":8.0,"source":"bow-maker"},{"reason":"needs","string_change":0.6393538552676256,"turns":14.179440039652654},{"reason":"large-change","string_change":0.6393538552676256},{"reason":"reach","low":6.843226690633389,"high":8.067188110250871,"min":20,"max":43},{"reason":"cost-adjust","answer":400,"chance":0.9758861624251858,"again":2800,"total":468},{"reason":"cost-remake","once":2800,"misfit":0.17483316894079093,"total":3290},{"reason":"lands","turns":14,"brace":7.738764285198044,"sd":0.11028064986235116,"chance":0.9758861624251858},{"reason":"adjust-cheaper"},{"reason":"turns-in","turns":24.0,"sd":1.0,"known":"shipped","changed":0.0},{"reason":"table-figures"},{"reason":"would-change","verdict":"reassure","above":7.5,"below":null}],"cautions":["unstring-first","use-stringer","plies-close","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',14,0,NULL,'sizing');
INSERT INTO "verdict" VALUES(2,1,'2026-02-05','0.1.0','adjust','{"string":{"serial":"S-1","order_ref":null,"sold_on":"2026-01-05","delivered_on":"2026-01-12","route":"marked","stated":62.0,"stated_at":"unknown","offset":4.0,"ordered":58.0,"built":58.0625,"built_at":"loaded","built_across":"outside","old_yarn":null,"old_make":null,"old_measured":null,"yarn":"hmpe","strands":16,"plies":2,"lay":"z","turns":24.0,"loop_top":2.5,"loop_bottom":2.0,"serving":0.25,"pre_stretched":true,"silencers":false,"colours":"green, white","spool":null,"maker":"Rafe Kell","maker_initials":"RK","price_cents":2450,"replaces":null},"bow":{"kind":"recurve","marked_length":62.0,"nock_to_nock":59.25,"draw_weight":{"pounds":45.0,"at_inch":null},"brace_range":{"low_inch":7.5,"high_inch":8.0},"tips":"reinforced","stave":"laminated","year":2015,"maker_allows_low_stretch":false},"reports":[{"number":1,"received_on":"2026-02-01","symptoms":["brace-low"],"bow_signs":[],"readings":[{"taken_on":"2026-02-01","measurements":{"brace":7.0,"readings":3,"want":{"low_inch":7.5,"high_inch":8.0},"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":150,"marker":null,"serving":null,"photo":null}},{"taken_on":"2026-02-05","measurements":{"brace":7.25,"readings":null,"want":null,"length":null,"length_at":null,"turns_changed":8.0,"turns_counted":null,"counted_over":null,"fades":null,"shots":null,"marker":null,"serving":null,"photo":"sound"}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":0.05660407248266981,"bow_effect":null,"own_second_readings":0,"pooled_ratio":1.0,"pooled_ratio_sd":0.1392838827718412,"settling":{"expected":0.0625,"sd":0.0625,"readings":0}}','{"verdict":"adjust","turns":7,"flip":false,"brace_now":7.338318252590426,"want":[7.5,8.0],"want_source":"bow-maker","brace_after":7.726233778869643,"brace_after_sd":0.09978208145326103,"chance_in_range":0.9852752980140974,"turns_now":[32.0,1.0],"window":[20,43],"reach":[6.830008743610922,7.9753518075382726],"play_used":0.3194907649044209,"play_left_in":0.6067817010807519,"play_left_out":0.44795840146298443,"remake_length":null,"remake_turns":null,"remake_yarn":null,"likely_cause":"sizing","cost_adjust":441,"cost_remake":3074,"ask":[],"first_step":null,"measure_again_after":null,"reasons":[{"reason":"reads","brace":7.25,"readings":1,"low":7.5,"high":8.0,"source":"bow-maker"},{"reason":"needs","string_change":0.3863610420001485,"turns":7.395457100199479},{"reason":"reach","low":6.830008743610922,"high":7.9753518075382726,"min":20,"max":43},{"reason":"cost-adjust","answer":400,"chance":0.9852752980140974,"again":2800,"total":441},{"reason":"cost-remake","once":2800,"misfit":0.09795985105842786,"total":3074},{"reason":"lands","turns":7,"brace":7.726233778869643,"sd":0.09978208145326103,"chance":0.9852752980140974},{"reason":"adjust-cheaper"},{"reason":"turns-in","turns":32.0,"sd":1.0,"known":"shipped","changed":8.0},{"reason":"learned","ratio":0.9291741607778075,"sd":0.1286693502017527,"readings":1},{"reason":"table-figures"},{"reason":"would-change","verdict":"reassure","above":7.5,"below":null}],"cautions":["unstring-first","use-stringer","plies-close","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',7,0,NULL,'sizing');
INSERT INTO "verdict" VALUES(3,2,'2026-02-06','0.1.0','adjust','{"string":{"serial":"S-2","order_ref":null,"sold_on":"2026-01-06","delivered_on":null,"route":"old-string","stated":64.0,"stated_at":"hand-tight","offset":0.0,"ordered":64.25,"built":null,"built_at":"loaded","built_across":"outside","old_yarn":"hmpe","old_make":"endless","old_measured":"outside","yarn":"polyester","strands":14,"plies":2,"lay":"z","turns":26.0,"loop_top":null,"loop_bottom":null,"serving":null,"pre_stretched":null,"silencers":null,"colours":null,"spool":null,"maker":null,"maker_initials":null,"price_cents":null,"replaces":null},"bow":{"kind":"longbow","marked_length":68.0,"nock_to_nock":null,"draw_weight":null,"brace_range":{"low_inch":6.0,"high_inch":6.5},"tips":"unknown","stave":"unknown","year":null,"maker_allows_low_stretch":false},"reports":[{"number":2,"received_on":"2026-02-06","symptoms":["brace-low"],"bow_signs":[],"readings":[{"taken_on":"2026-02-06","measurements":{"brace":4.5,"readings":null,"want":null,"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":300,"marker":null,"serving":null,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":null,"bow_effect":null,"own_second_readings":1,"pooled_ratio":0.9944997952533176,"pooled_ratio_sd":0.21634588635646654,"settling":{"expected":0.125,"sd":0.125,"readings":0}}','{"verdict":"adjust","turns":24,"flip":false,"brace_now":4.5,"want":[6.0,6.5],"want_source":"bow-maker","brace_after":6.215042728078138,"brace_after_sd":0.33197929513582747,"chance_in_range":0.5460824797501127,"turns_now":[26.0,1.0],"window":[24,52],"reach":[4.389203671081823,6.38225678986376],"play_used":0.0,"play_left_in":1.223541546633993,"play_left_out":0.05883138958693496,"remake_length":null,"remake_turns":null,"remake_yarn":null,"likely_cause":"sizing","cost_adjust":1671,"cost_remake":3965,"ask":["fades"],"first_step":{"turns":7,"brace":4.9337280679202635,"sd":0.1290585910449515},"measure_again_after":null,"reasons":[{"reason":"reads","brace":4.5,"readings":1,"low":6.0,"high":6.5,"source":"bow-maker"},{"reason":"needs","string_change":1.1237440146068356,"turns":24.421082320640608},{"reason":"large-change","string_change":1.1237440146068356},{"reason":"reach","low":4.389203671081823,"high":6.38225678986376,"min":24,"max":52},{"reason":"cost-adjust","answer":400,"chance":0.5460824797501127,"again":2800,"total":1671},{"reason":"cost-remake","once":2800,"misfit":0.41591610547421753,"total":3965},{"reason":"lands","turns":24,"brace":6.215042728078138,"sd":0.33197929513582747,"chance":0.5460824797501127},{"reason":"adjust-cheaper"},{"reason":"would-narrow","ask":"fades","wrong_now":0.4514144534458545,"wrong_then":0.39964348971796665},{"reason":"turns-in","turns":26.0,"sd":1.0,"known":"shipped","changed":0.0},{"reason":"table-figures"},{"reason":"would-change","verdict":"reassure","above":6.0,"below":null}],"cautions":["unstring-first","use-stringer","plies-close","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',24,0,NULL,'sizing');
INSERT INTO "verdict" VALUES(4,3,'2026-02-07','0.1.0','stop','{"string":{"serial":"S-3","order_ref":null,"sold_on":"2026-01-07","delivered_on":null,"route":"nock-to-nock","stated":66.0,"stated_at":"unknown","offset":3.0,"ordered":63.0,"built":null,"built_at":"loaded","built_across":"outside","old_yarn":null,"old_make":null,"old_measured":null,"yarn":"hmpe","strands":14,"plies":2,"lay":"z","turns":22.0,"loop_top":null,"loop_bottom":null,"serving":null,"pre_stretched":null,"silencers":null,"colours":null,"spool":null,"maker":null,"maker_initials":null,"price_cents":null,"replaces":null},"bow":{"kind":"selfbow","marked_length":66.0,"nock_to_nock":null,"draw_weight":null,"brace_range":null,"tips":"plain","stave":"wood","year":null,"maker_allows_low_stretch":false},"reports":[{"number":3,"received_on":"2026-02-07","symptoms":["broken-strand"],"bow_signs":[],"readings":[{"taken_on":"2026-02-07","measurements":{"brace":5.0,"readings":null,"want":null,"length":62.5,"length_at":"hand-tight","turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":null,"marker":null,"serving":null,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":null,"bow_effect":null,"own_second_readings":1,"pooled_ratio":0.9944997952533176,"pooled_ratio_sd":0.2376811585001543,"settling":{"expected":0.0625,"sd":0.0625,"readings":0}}','{"verdict":"stop","turns":null,"flip":false,"brace_now":5.0,"want":[5.0,6.5],"want_source":"table","brace_after":null,"brace_after_sd":null,"chance_in_range":null,"turns_now":[22.0,1.0],"window":[27,57],"reach":[5.2442367978773055,7.343389959078702],"play_used":0.0,"play_left_in":1.442725767825577,"play_left_out":0.0,"remake_length":63.25,"remake_turns":31,"remake_yarn":"polyester","likely_cause":"unknown","cost_adjust":null,"cost_remake":null,"ask":[],"first_step":null,"measure_again_after":null,"reasons":[{"reason":"danger","symptom":"broken-strand"},{"reason":"other-yarn","from":"hmpe","to":"polyester","change":0.2613991935483871,"sd":0.13069959677419354}],"cautions":["do-not-shoot","inspect","never-dry-fire","stop-on-damage","ask-bowyer","polyester-only"]}',NULL,0,63.25,'unknown');
INSERT INTO "verdict" VALUES(5,4,'2026-02-08','0.1.0','adjust','{"string":{"serial":"S-4","order_ref":null,"sold_on":"2026-01-08","delivered_on":null,"route":"marked","stated":66.0,"stated_at":"unknown","offset":4.0,"ordered":62.0,"built":null,"built_at":"loaded","built_across":"outside","old_yarn":null,"old_make":null,"old_measured":null,"yarn":"polyester","strands":14,"plies":2,"lay":"z","turns":28.0,"loop_top":null,"loop_bottom":null,"serving":null,"pre_stretched":null,"silencers":null,"colours":null,"spool":null,"maker":null,"maker_initials":null,"price_cents":null,"replaces":null},"bow":{"kind":"recurve","marked_length":66.0,"nock_to_nock":null,"draw_weight":{"pounds":38.0,"at_inch":28.0},"brace_range":{"low_inch":8.0,"high_inch":8.5},"tips":"unknown","stave":"unknown","year":null,"maker_allows_low_stretch":false},"reports":[{"number":4,"received_on":"2026-02-08","symptoms":["brace-low"],"bow_signs":[],"readings":[{"taken_on":"2026-02-08","measurements":{"brace":7.25,"readings":null,"want":null,"length":null,"length_at":null,"turns_changed":null,"turns_counted":28.0,"counted_over":55.0,"fades":null,"shots":200,"marker":null,"serving":null,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":null,"bow_effect":null,"own_second_readings":1,"pooled_ratio":0.9799758170941091,"pooled_ratio_sd":0.22137911822005407,"settling":{"expected":0.125,"sd":0.125,"readings":0}}','{"verdict":"adjust","turns":18,"flip":false,"brace_now":7.25,"want":[8.0,8.5],"want_source":"bow-maker","brace_after":8.205352064461794,"brace_after_sd":0.22263622977858552,"chance_in_range":0.728988248553532,"turns_now":[27.05729507512991,0.8314904472583047],"window":[23,49],"reach":[7.091999341742441,8.464053453181359],"play_used":0.0,"play_left_in":1.0536654081613717,"play_left_out":0.12515415784979667,"remake_length":null,"remake_turns":null,"remake_yarn":null,"likely_cause":"sizing","cost_adjust":1159,"cost_remake":3694,"ask":["fades","brace-again"],"first_step":{"turns":8,"brace":7.626018857058867,"sd":0.12650134955898962},"measure_again_after":null,"reasons":[{"reason":"reads","brace":7.25,"readings":1,"low":8.0,"high":8.5,"source":"bow-maker"},{"reason":"needs","string_change":0.8560682415452713,"turns":18.69862028749719},{"reason":"large-change","string_change":0.8560682415452713},{"reason":"reach","low":7.091999341742441,"high":8.464053453181359,"min":23,"max":49},{"reason":"cost-adjust","answer":400,"chance":0.728988248553532,"again":2800,"total":1159},{"reason":"cost-remake","once":2800,"misfit":0.319219077892274,"total":3694},{"reason":"lands","turns":18,"brace":8.205352064461794,"sd":0.22263622977858552,"chance":0.728988248553532},{"reason":"adjust-cheaper"},{"reason":"would-narrow","ask":"fades","wrong_now":0.26147657621577663,"wrong_then":0.2118123495098933},{"reason":"turns-in","turns":27.05729507512991,"sd":0.8314904472583047,"known":"counted","changed":0.0},{"reason":"pooled","ratio":0.9799758170941091,"readings":1},{"reason":"would-change","verdict":"reassure","above":8.0,"below":null}],"cautions":["unstring-first","use-stringer","plies-close","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',18,0,NULL,'sizing');
INSERT INTO "verdict" VALUES(6,5,'2026-02-09','0.1.0','adjust','{"string":{"serial":"S-5","order_ref":null,"sold_on":"2026-01-08","delivered_on":null,"route":"marked","stated":66.0,"stated_at":"unknown","offset":4.0,"ordered":62.0,"built":null,"built_at":"loaded","built_across":"outside","old_yarn":null,"old_make":null,"old_measured":null,"yarn":"polyester","strands":14,"plies":2,"lay":"z","turns":28.0,"loop_top":null,"loop_bottom":null,"serving":null,"pre_stretched":null,"silencers":null,"colours":null,"spool":null,"maker":null,"maker_initials":null,"price_cents":null,"replaces":"S-4"},"bow":{"kind":"recurve","marked_length":66.0,"nock_to_nock":null,"draw_weight":null,"brace_range":null,"tips":"unknown","stave":"unknown","year":null,"maker_allows_low_stretch":false},"reports":[{"number":5,"received_on":"2026-02-09","symptoms":["serving-place"],"bow_signs":[],"readings":[{"taken_on":"2026-02-09","measurements":{"brace":8.125,"readings":null,"want":null,"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":null,"marker":"down","serving":0.5,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":null,"bow_effect":null,"own_second_readings":1,"pooled_ratio":0.9799758170941091,"pooled_ratio_sd":0.22137911822005407,"settling":{"expected":0.125,"sd":0.125,"readings":0}}','{"verdict":"adjust","turns":null,"flip":true,"brace_now":8.125,"want":[8.0,9.0],"want_source":"table","brace_after":null,"brace_after_sd":null,"chance_in_range":null,"turns_now":[28.0,1.0],"window":[23,49],"reach":[7.947868960131051,9.19306081794582],"play_used":0.0,"play_left_in":1.0215789401011728,"play_left_out":0.15724062590999538,"remake_length":null,"remake_turns":null,"remake_yarn":null,"likely_cause":"handling","cost_adjust":null,"cost_remake":null,"ask":["which-way-up","brace"],"first_step":null,"measure_again_after":null,"reasons":[{"reason":"marker-down"}],"cautions":["use-stringer","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',NULL,1,NULL,'handling');
INSERT INTO "verdict" VALUES(7,9,'2026-02-28','0.1.0','ask','{"string":{"serial":"S-4","order_ref":null,"sold_on":"2026-01-08","delivered_on":null,"route":"marked","stated":66.0,"stated_at":"unknown","offset":4.0,"ordered":62.0,"built":null,"built_at":"loaded","built_across":"outside","old_yarn":null,"old_make":null,"old_measured":null,"yarn":"polyester","strands":14,"plies":2,"lay":"z","turns":28.0,"loop_top":null,"loop_bottom":null,"serving":null,"pre_stretched":null,"silencers":null,"colours":null,"spool":null,"maker":null,"maker_initials":null,"price_cents":null,"replaces":null},"bow":{"kind":"recurve","marked_length":66.0,"nock_to_nock":null,"draw_weight":{"pounds":38.0,"at_inch":28.0},"brace_range":{"low_inch":8.0,"high_inch":8.5},"tips":"unknown","stave":"unknown","year":null,"maker_allows_low_stretch":false},"reports":[{"number":4,"received_on":"2026-02-08","symptoms":["brace-low"],"signs":[],"readings":[{"taken_on":"2026-02-08","measurements":{"brace":7.25,"readings":null,"want":null,"length":null,"length_at":null,"turns_changed":null,"turns_counted":28.0,"counted_over":55.0,"fades":null,"shots":200,"marker":null,"serving":null,"photo":null}}],"settled":true},{"number":9,"received_on":"2026-02-28","symptoms":["noisy"],"signs":[{"number":1,"of":"string","sure":true,"words":"","stands_in":"message","standing":"called-off"},{"number":2,"of":"bow","sure":false,"words":"","stands_in":"message","standing":"open"}],"readings":[{"taken_on":"2026-02-28","measurements":{"brace":null,"readings":null,"want":null,"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":null,"marker":null,"serving":null,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"reasons":{},"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","strength.hmpe":"100","strength.hmpe-lcp":"70","strength.linen":"6","strength.polyester":"50","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":null,"bow_effect":null,"own_second_readings":1,"pooled_ratio":0.9799758170941091,"pooled_ratio_sd":0.22137911822005407,"settling":{"expected":0.125,"sd":0.125,"readings":0}}','{"verdict":"ask","turns":null,"flip":false,"brace_now":7.25,"want":[8.0,8.5],"want_source":"bow-maker","brace_after":null,"brace_after_sd":null,"chance_in_range":null,"turns_now":[27.05729507512991,0.8314904472583047],"window":[23,49],"reach":[7.091999341742441,8.464053453181359],"play_used":0.0,"play_left_in":1.0536654081613717,"play_left_out":0.12515415784979667,"remake_length":null,"remake_turns":null,"remake_yarn":null,"likely_cause":"unknown","cost_adjust":null,"cost_remake":null,"ask":["bow-sound"],"first_step":null,"measure_again_after":null,"reasons":[{"reason":"speaks-of-danger","of":"bow","signs":[]}],"cautions":["do-not-shoot","use-stringer","stop-on-damage","ask-bowyer"]}',NULL,0,NULL,'unknown');
CREATE INDEX archer_by_email ON archer (email COLLATE NOCASE);
CREATE INDEX archer_by_name ON archer (name COLLATE NOCASE);
CREATE INDEX bow_by_archer ON bow (archer_id);
CREATE INDEX string_by_order ON string (order_ref COLLATE NOCASE);
CREATE INDEX string_by_archer ON string (archer_id);
CREATE INDEX string_by_bow ON string (bow_id);
CREATE INDEX string_by_spool ON string (spool_id);
CREATE INDEX string_by_replaced ON string (replaces_id);
CREATE INDEX report_by_string ON report (string_id);
CREATE INDEX letter_text_by_report ON letter_text (report_number);
CREATE INDEX reading_by_report ON reading (report_number);
CREATE INDEX verdict_by_report ON verdict (report_number);
CREATE INDEX setting_by_name ON setting (name);
CREATE INDEX bench_test_by_construction ON bench_test (yarn, strands, plies);
CREATE INDEX event_by_string ON event (string_id);
CREATE INDEX event_by_report ON event (report_number);
CREATE INDEX remake_by_report ON remake (report_number);
CREATE INDEX cost_by_report ON cost (report_number);
CREATE INDEX settlement_by_report ON settlement (report_number);
CREATE INDEX question_by_month ON question (month);
CREATE INDEX question_answer_by_question ON question_answer (question_id);
CREATE INDEX forgotten_by_digest ON forgotten (digest);
CREATE INDEX forgotten_by_archer ON forgotten (archer_id);
CREATE INDEX string_by_made_number ON string (CAST(substr(serial, 3) AS INTEGER))
    WHERE serial GLOB '[Ss]-[0-9]*' AND substr(serial, 3) NOT GLOB '*[^0-9]*' AND length(serial) < 18;
CREATE INDEX reading_by_brace ON reading (report_number) WHERE brace_inch IS NOT NULL;
CREATE INDEX open_question_by_report ON open_question (report_number);
COMMIT;
