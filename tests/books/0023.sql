PRAGMA foreign_keys = OFF;
PRAGMA application_id = 1179210580;
PRAGMA user_version = 23;
BEGIN TRANSACTION;
CREATE TABLE archer (
    id    INTEGER PRIMARY KEY,
    name  TEXT CHECK (length(name) <= 500),
    email TEXT CHECK (length(email) <= 500)
, unit TEXT CHECK (unit IN ('inch', 'cm', 'mm'))) STRICT;
INSERT INTO "archer" VALUES(1,'Odalind Quarrie','odalind@example.org',NULL);
INSERT INTO "archer" VALUES(2,'Perrin Vane','perrin@example.org','cm');
INSERT INTO "archer" VALUES(3,'Ysolde Marrin',NULL,NULL);
INSERT INTO "archer" VALUES(4,'Corvin Leech','corvin@example.org',NULL);
INSERT INTO "archer" VALUES(5,'Tamsin Ewe','tamsin@example.org',NULL);
INSERT INTO "archer" VALUES(6,'Ottiwell Brack','ottiwell@example.org',NULL);
INSERT INTO "archer" VALUES(7,'Sib Harrow','sib.new@example.net',NULL);
INSERT INTO "archer" VALUES(8,NULL,NULL,NULL);
INSERT INTO "archer" VALUES(9,'Hew Tarrant','hew@example.org',NULL);
INSERT INTO "archer" VALUES(10,'Tamsin Orrery','tamsin@example.org',NULL);
CREATE TABLE below_floor (
    id        INTEGER PRIMARY KEY,
    string_id INTEGER NOT NULL UNIQUE REFERENCES string (id),
    marked_on TEXT NOT NULL CHECK (marked_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    -- Day of the letter that says not to shoot it.
    warned_on TEXT CHECK (warned_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')
) STRICT;
INSERT INTO "below_floor" VALUES(1,12,'2026-03-01',NULL);
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
    maker_allows_low_stretch INTEGER NOT NULL CHECK (maker_allows_low_stretch IN (0, 1)), range_unknown INTEGER NOT NULL DEFAULT 0 CHECK (range_unknown IN (0, 1)),
    CHECK ((brace_low_inch IS NULL) = (brace_high_inch IS NULL) AND (brace_low_inch IS NULL OR brace_low_inch <= brace_high_inch))
) STRICT;
INSERT INTO "bow" VALUES(1,1,'recurve',62.0,59.25,45.0,NULL,7.5,8.0,'reinforced','laminated',2015,0,0);
INSERT INTO "bow" VALUES(2,2,'longbow',68.0,NULL,NULL,NULL,6.0,6.5,'unknown','unknown',NULL,0,0);
INSERT INTO "bow" VALUES(3,3,'selfbow',66.0,NULL,NULL,NULL,NULL,NULL,'plain','wood',NULL,0,0);
INSERT INTO "bow" VALUES(4,4,'recurve',66.0,NULL,38.0,28.0,8.0,8.5,'unknown','unknown',NULL,0,0);
INSERT INTO "bow" VALUES(5,4,'recurve',66.0,NULL,NULL,NULL,NULL,NULL,'reinforced','unknown',NULL,0,0);
INSERT INTO "bow" VALUES(6,5,'recurve',NULL,NULL,NULL,NULL,NULL,NULL,'reinforced','laminated',2015,0,0);
INSERT INTO "bow" VALUES(7,6,'longbow',66.0,NULL,NULL,NULL,NULL,NULL,'unknown','unknown',NULL,0,1);
INSERT INTO "bow" VALUES(8,7,'longbow',NULL,NULL,NULL,NULL,NULL,NULL,'unknown','unknown',NULL,0,0);
INSERT INTO "bow" VALUES(9,8,'recurve',NULL,NULL,NULL,NULL,NULL,NULL,'unknown','unknown',NULL,0,0);
INSERT INTO "bow" VALUES(10,9,'longbow',68.0,NULL,70.0,28.0,NULL,NULL,'unknown','unknown',NULL,0,0);
INSERT INTO "bow" VALUES(11,10,'longbow',66.0,NULL,NULL,NULL,NULL,NULL,'unknown','unknown',NULL,0,0);
CREATE TABLE bow_told (
    id         INTEGER PRIMARY KEY,
    -- The reading that it came in with; the first of a report came in with that.
    reading_id INTEGER NOT NULL REFERENCES reading (id),
    -- What was known of the bow before, and what was told of it: values by the names of a bow's record.
    before     TEXT NOT NULL CHECK (json_valid(before)),
    told       TEXT NOT NULL CHECK (json_valid(told))
) STRICT;
INSERT INTO "bow_told" VALUES(1,15,'{"kind":"longbow","marked_length":66.0,"nock_to_nock":null,"draw_weight":null,"brace_range":null,"tips":"unknown","stave":"unknown","year":null,"maker_allows_low_stretch":false}','{"kind":"longbow","range_unknown":true}');
INSERT INTO "bow_told" VALUES(2,16,'{"kind":"longbow","marked_length":68.0,"nock_to_nock":null,"draw_weight":null,"brace_range":{"low_inch":6.0,"high_inch":6.5},"tips":"unknown","stave":"unknown","year":null,"maker_allows_low_stretch":false}','{"brace_range":{"low_inch":7.5,"high_inch":8.0}}');
CREATE TABLE cost (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    day           TEXT NOT NULL,
    what          TEXT NOT NULL CHECK (what IN ('answer', 'remake', 'label', 'material', 'history')),
    cents         INTEGER NOT NULL CHECK (cents >= 0)
, event_id INTEGER REFERENCES event (id)) STRICT;
INSERT INTO "cost" VALUES(1,1,'2026-02-01','answer',400,15);
INSERT INTO "cost" VALUES(2,4,'2026-02-08','answer',400,24);
INSERT INTO "cost" VALUES(3,2,'2026-02-10','remake',1800,29);
INSERT INTO "cost" VALUES(4,2,'2026-02-12','label',600,NULL);
INSERT INTO "cost" VALUES(5,3,'2026-02-13','remake',1800,31);
INSERT INTO "cost" VALUES(6,6,'2025-11-02','history',2450,NULL);
INSERT INTO "cost" VALUES(7,10,'2026-03-01','answer',400,57);
INSERT INTO "cost" VALUES(8,12,'2026-03-01','answer',400,71);
CREATE TABLE decision (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    decided_on    TEXT NOT NULL CHECK (decided_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    who           TEXT NOT NULL,
    why           TEXT NOT NULL CHECK (length(why) <= 500),
    -- Back to what is worked out: nothing else is set then.
    taken_back    INTEGER NOT NULL CHECK (taken_back IN (0, 1)),
    terms_of      TEXT CHECK (terms_of IN ('workshop', 'wear', 'handling', 'own-cut')),
    free          INTEGER CHECK (free IN (0, 1)),
    remake        INTEGER CHECK (remake IN (0, 1)),
    turns         INTEGER CHECK (turns BETWEEN -500 AND 500),
    length_inch   REAL CHECK (length_inch BETWEEN 1 AND 200)) STRICT;
INSERT INTO "decision" VALUES(1,10,'2026-03-01','RK','an old customer',0,NULL,NULL,NULL,13,NULL);
CREATE TABLE decision_reading (
    decision_id INTEGER NOT NULL REFERENCES decision (id),
    -- A reading of brace height or turns that counted when it was decided.
    reading_id  INTEGER NOT NULL REFERENCES reading (id),
    PRIMARY KEY (decision_id, reading_id)
) STRICT, WITHOUT ROWID;
INSERT INTO "decision_reading" VALUES(1,11);
INSERT INTO "decision_reading" VALUES(1,12);
CREATE TABLE digest_key (
    id  INTEGER PRIMARY KEY CHECK (id = 1),
    key TEXT NOT NULL CHECK (length(key) = 64)
) STRICT;
INSERT INTO "digest_key" VALUES(1,'89a879045bcf1d1883aa06ba979ff5c5ed7abe373ba851b05a1254bb623a87a4');
CREATE TABLE event (
    id            INTEGER PRIMARY KEY,
    day           TEXT NOT NULL,
    who           TEXT NOT NULL,
    what          TEXT NOT NULL,
    string_id     INTEGER REFERENCES string (id),
    report_number INTEGER REFERENCES report (number),
    -- Names of the fields concerned, never personal values.
    fields        TEXT NOT NULL
, reading_id INTEGER REFERENCES reading (id), made_id INTEGER REFERENCES string (id)) STRICT;
INSERT INTO "event" VALUES(1,'2026-01-15','RK','sold',1,NULL,'all',NULL,NULL);
INSERT INTO "event" VALUES(2,'2026-01-06','RK','sold',2,NULL,'all',NULL,NULL);
INSERT INTO "event" VALUES(3,'2026-01-07','RK','sold',3,NULL,'all',NULL,NULL);
INSERT INTO "event" VALUES(4,'2026-01-08','RK','sold',4,NULL,'all',NULL,NULL);
INSERT INTO "event" VALUES(5,'2026-01-08','RK','sold',5,NULL,'all',NULL,NULL);
INSERT INTO "event" VALUES(6,'2026-01-09','RK','sold',6,NULL,'import',NULL,NULL);
INSERT INTO "event" VALUES(7,'2026-01-09','RK','sold',7,NULL,'import',NULL,NULL);
INSERT INTO "event" VALUES(8,'2026-01-09','RK','sold',8,NULL,'import',NULL,NULL);
INSERT INTO "event" VALUES(9,'2026-01-09','RK','sold',9,NULL,'import',NULL,NULL);
INSERT INTO "event" VALUES(10,'2026-01-10','RK','setting',NULL,NULL,'reading.sd',NULL,NULL);
INSERT INTO "event" VALUES(11,'2026-01-10','RK','setting',NULL,NULL,'offset.marked.recurve',NULL,NULL);
INSERT INTO "event" VALUES(12,'2026-01-11','RK','bench-test',NULL,NULL,'turn constant',NULL,NULL);
INSERT INTO "event" VALUES(13,'2026-02-01','RK','report',1,1,'',NULL,NULL);
INSERT INTO "event" VALUES(14,'2026-02-01','RK','advice',1,1,'',NULL,NULL);
INSERT INTO "event" VALUES(15,'2026-02-01','RK','letter',1,1,'',NULL,NULL);
INSERT INTO "event" VALUES(16,'2026-02-05','RK','reading',1,1,'',2,NULL);
INSERT INTO "event" VALUES(17,'2026-02-05','RK','advice',1,1,'',NULL,NULL);
INSERT INTO "event" VALUES(18,'2026-02-06','RK','report',2,2,'',NULL,NULL);
INSERT INTO "event" VALUES(19,'2026-02-06','RK','advice',2,2,'',NULL,NULL);
INSERT INTO "event" VALUES(20,'2026-02-07','RK','report',3,3,'',NULL,NULL);
INSERT INTO "event" VALUES(21,'2026-02-07','RK','advice',3,3,'',NULL,NULL);
INSERT INTO "event" VALUES(22,'2026-02-08','RK','report',4,4,'',NULL,NULL);
INSERT INTO "event" VALUES(23,'2026-02-08','RK','advice',4,4,'',NULL,NULL);
INSERT INTO "event" VALUES(24,'2026-02-08','RK','letter',4,4,'',NULL,NULL);
INSERT INTO "event" VALUES(25,'2026-02-09','RK','report',5,5,'',NULL,NULL);
INSERT INTO "event" VALUES(26,'2026-02-09','RK','advice',5,5,'',NULL,NULL);
INSERT INTO "event" VALUES(27,'2026-02-09','RK','bow',5,NULL,'tips',NULL,NULL);
INSERT INTO "event" VALUES(28,'2026-02-10','RK','spool',NULL,NULL,'all',NULL,NULL);
INSERT INTO "event" VALUES(29,'2026-02-10','RK','remake',2,2,'',NULL,10);
INSERT INTO "event" VALUES(30,'2026-02-12','RK','sent',2,2,'',NULL,10);
INSERT INTO "event" VALUES(31,'2026-02-13','RK','remake',3,3,'',NULL,11);
INSERT INTO "event" VALUES(32,'2026-02-20','RK','settle',4,4,'',NULL,NULL);
INSERT INTO "event" VALUES(33,'2026-02-21','RK','settle',5,5,'',NULL,NULL);
INSERT INTO "event" VALUES(34,'2026-02-22','RK','settle',1,1,'',NULL,NULL);
INSERT INTO "event" VALUES(35,'2026-02-23','RK','resume',1,1,'',NULL,NULL);
INSERT INTO "event" VALUES(36,'2026-02-24','RK','report',8,6,'',NULL,NULL);
INSERT INTO "event" VALUES(37,'2026-02-24','RK','settle',8,6,'',NULL,NULL);
INSERT INTO "event" VALUES(38,'2026-02-24','RK','report',9,7,'',NULL,NULL);
INSERT INTO "event" VALUES(39,'2026-02-24','RK','settle',9,7,'',NULL,NULL);
INSERT INTO "event" VALUES(40,'2026-02-25','RK','question',6,NULL,'month',NULL,NULL);
INSERT INTO "event" VALUES(41,'2026-02-25','RK','question',7,NULL,'month',NULL,NULL);
INSERT INTO "event" VALUES(42,'2026-02-26','RK','question-answer',6,NULL,'fits',NULL,NULL);
INSERT INTO "event" VALUES(43,'2026-02-26','RK','question-answer',7,NULL,'turned',NULL,NULL);
INSERT INTO "event" VALUES(44,'2026-02-27','RK','question-answer',7,NULL,'turned',NULL,NULL);
INSERT INTO "event" VALUES(45,'2026-02-28','RK','forget',NULL,NULL,'A-8 name email order_ref letter_text',NULL,NULL);
INSERT INTO "event" VALUES(46,'2026-02-28','RK','bow',7,NULL,'bow_marked_length',NULL,NULL);
INSERT INTO "event" VALUES(47,'2026-02-28','RK','report',7,8,'',NULL,NULL);
INSERT INTO "event" VALUES(48,'2026-03-01','RK','sold',12,NULL,'all',NULL,NULL);
INSERT INTO "event" VALUES(49,'2026-03-01','RK','address',8,NULL,'email',NULL,NULL);
INSERT INTO "event" VALUES(50,'2026-03-01','RK','report',8,9,'',NULL,NULL);
INSERT INTO "event" VALUES(51,'2026-03-01','RK','bow',6,NULL,'tips stave bow_year',NULL,NULL);
INSERT INTO "event" VALUES(52,'2026-03-01','RK','report',6,10,'',NULL,NULL);
INSERT INTO "event" VALUES(53,'2026-03-01','RK','reading',6,10,'',12,NULL);
INSERT INTO "event" VALUES(54,'2026-03-01','RK','called-off',6,10,'sign 1',NULL,NULL);
INSERT INTO "event" VALUES(55,'2026-03-01','RK','advice',6,10,'',12,NULL);
INSERT INTO "event" VALUES(56,'2026-03-01','RK','no-danger',6,10,'',NULL,NULL);
INSERT INTO "event" VALUES(57,'2026-03-01','RK','letter',6,10,'',NULL,NULL);
INSERT INTO "event" VALUES(58,'2026-03-01','RK','decided',6,10,'turns',NULL,NULL);
INSERT INTO "event" VALUES(59,'2026-03-01','RK','advice',6,10,'',12,NULL);
INSERT INTO "event" VALUES(60,'2026-03-01','RK','reading',6,10,'',13,NULL);
INSERT INTO "event" VALUES(61,'2026-03-01','RK','strike',6,10,'R-10/3',NULL,NULL);
INSERT INTO "event" VALUES(62,'2026-02-28','RK','sold',13,NULL,'all',NULL,NULL);
INSERT INTO "event" VALUES(63,'2026-02-28','RK','report',13,11,'',NULL,NULL);
INSERT INTO "event" VALUES(64,'2026-03-01','RK','bow',7,NULL,'range_unknown',NULL,NULL);
INSERT INTO "event" VALUES(65,'2026-03-01','RK','reading',7,8,'',15,NULL);
INSERT INTO "event" VALUES(66,'2026-03-01','RK','bow',2,NULL,'brace_range',NULL,NULL);
INSERT INTO "event" VALUES(67,'2026-03-01','RK','report',2,12,'',NULL,NULL);
INSERT INTO "event" VALUES(68,'2026-03-01','RK','archer',2,NULL,'unit',NULL,NULL);
INSERT INTO "event" VALUES(69,'2026-03-01','RK','no-danger',2,12,'',NULL,NULL);
INSERT INTO "event" VALUES(70,'2026-03-01','RK','advice',2,12,'',NULL,NULL);
INSERT INTO "event" VALUES(71,'2026-03-01','RK','letter',2,12,'',NULL,NULL);
INSERT INTO "event" VALUES(72,'2026-03-01','RK','strike',2,12,'R-12',NULL,NULL);
INSERT INTO "event" VALUES(73,'2026-03-01','RK','bow',2,NULL,'brace_range',NULL,NULL);
INSERT INTO "event" VALUES(74,'2026-03-01','RK','take-back',2,12,'',NULL,NULL);
CREATE TABLE forgotten (
    id           INTEGER PRIMARY KEY,
    archer_id    INTEGER NOT NULL REFERENCES archer (id),
    forgotten_on TEXT NOT NULL CHECK (forgotten_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    digest       TEXT NOT NULL CHECK (length(digest) = 64)
) STRICT;
INSERT INTO "forgotten" VALUES(1,8,'2026-02-28','bdd869fe4a81d56a238a72cc41c27115c893411ae0b3a6aa5484d2d785342f80');
INSERT INTO "forgotten" VALUES(2,8,'2026-02-28','6b1739293e21e153483ec8436f0cc48c4c36de71c99ea4124f3bae11dff5e428');
CREATE TABLE former_address (
    id        INTEGER PRIMARY KEY,
    archer_id INTEGER NOT NULL REFERENCES archer (id),
    email     TEXT NOT NULL CHECK (length(email) BETWEEN 1 AND 500),
    until_on  TEXT NOT NULL CHECK (until_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')
) STRICT;
INSERT INTO "former_address" VALUES(1,7,'sib@example.org','2026-03-01');
CREATE TABLE letter_text (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    received_on   TEXT NOT NULL,
    body          TEXT NOT NULL
, reading_id INTEGER REFERENCES reading (id)) STRICT;
INSERT INTO "letter_text" VALUES(1,1,'2026-02-01','It reads low. The serving is frayed a little. Yours, Odalind
',NULL);
INSERT INTO "letter_text" VALUES(2,6,'2025-11-02','wrote twice',NULL);
INSERT INTO "letter_text" VALUES(3,8,'2026-02-28','Bow is a 66, string 63. Brace is 6 7/8.',NULL);
INSERT INTO "letter_text" VALUES(4,9,'2026-02-27','Hello, my string W-3 now reads 6 3/4 and should be 7 to 7 1/2.',NULL);
INSERT INTO "letter_text" VALUES(5,10,'2026-03-01','The brace height is low. I heard a crack once, but it was the arrow.
',NULL);
INSERT INTO "letter_text" VALUES(6,10,'2026-03-01','Still low, it reads 7 1/16
',12);
INSERT INTO "letter_text" VALUES(7,11,'2026-02-27','My string U-1 reads 6 1/2 inches and should be 7 to 7 1/2. No turns yet, about 80 arrows.',NULL);
INSERT INTO "letter_text" VALUES(8,8,'2026-03-01','The bow is a longbow, I measure 18.1 cm
',15);
INSERT INTO "letter_text" VALUES(9,12,'2026-03-01','It reads 8 1/4.
',NULL);
CREATE TABLE noted_mail (
    id            INTEGER PRIMARY KEY,
    -- SHA-256 of what tells it from any other mail: its own name, or all of it where it has none.
    mark          TEXT NOT NULL CHECK (length(mark) = 64 AND mark NOT GLOB '*[^0-9a-f]*'),
    noted_on      TEXT NOT NULL CHECK (noted_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    -- Both absent where it was put aside: it is about no report.
    report_number INTEGER REFERENCES report (number),
    reading_id    INTEGER REFERENCES reading (id),
    -- The mails it stands below, the first first, and itself: names of mails, a blank between two.
    thread        TEXT CHECK (length(thread) BETWEEN 1 AND 4000), subject TEXT CHECK (length(subject) <= 500),
    CHECK ((report_number IS NULL) = (reading_id IS NULL))
) STRICT;
INSERT INTO "noted_mail" VALUES(1,'9704e4a6e9342375cbe535619819a76a427081cf2a17c292813224af72faedc3','2026-02-28',11,14,'one@example.org',NULL);
CREATE TABLE open_question (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    question      TEXT NOT NULL CHECK (length(question) <= 1000)
, reading_id INTEGER REFERENCES reading (id), about TEXT CHECK (about IN ('brace', 'turns-made', 'bow-kind', 'stave', 'tips', 'shots', 'bow-year', 'string-length', 'which-way-up'))) STRICT;
INSERT INTO "open_question" VALUES(1,8,'Is 63 the length of the string or of the bow?',9,NULL);
INSERT INTO "open_question" VALUES(2,11,'How many full turns in all were put in or taken out since the string came? The mail says “No turns”.',14,'turns-made');
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
, chance REAL CHECK (chance > 0 AND chance <= 1), drawn_by TEXT CHECK (drawn_by IN ('worth', 'lot', 'card'))) STRICT;
INSERT INTO "question" VALUES(1,6,'2026-02-01','2026-02-25','2026-02-25',NULL,NULL);
INSERT INTO "question" VALUES(2,7,'2026-02-01','2026-02-25',NULL,NULL,NULL);
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
, read_by TEXT CHECK (read_by IN ('ruler', 'strip'))) STRICT;
INSERT INTO "reading" VALUES(1,1,'2026-02-01',7.0,3,7.5,8.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,150,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(2,1,'2026-02-05',7.25,NULL,NULL,NULL,NULL,NULL,8.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'sound',NULL);
INSERT INTO "reading" VALUES(3,2,'2026-02-06',4.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,300,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(4,3,'2026-02-07',5.0,NULL,NULL,NULL,62.5,'hand-tight',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(5,4,'2026-02-08',7.25,NULL,NULL,NULL,NULL,NULL,NULL,28.0,55.0,NULL,NULL,NULL,NULL,200,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(6,5,'2026-02-09',8.125,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'down',0.5,NULL,NULL);
INSERT INTO "reading" VALUES(7,6,'2025-11-02',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(8,7,'2025-11-20',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(9,8,'2026-02-28',6.875,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(10,9,'2026-02-27',6.75,NULL,7.0,7.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(11,10,'2026-03-01',7.0,NULL,7.5,8.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(12,10,'2026-03-01',7.0625,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(13,10,'2026-03-01',9.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(14,11,'2026-02-27',6.5,NULL,7.0,7.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(15,8,'2026-03-01',7.125,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "reading" VALUES(16,12,'2026-03-01',8.25,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
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
INSERT INTO "report" VALUES(9,8,'2026-02-27',NULL,NULL);
INSERT INTO "report" VALUES(10,6,'2026-03-01',NULL,NULL);
INSERT INTO "report" VALUES(11,13,'2026-02-27',NULL,NULL);
INSERT INTO "report" VALUES(12,2,'2026-03-01',NULL,NULL);
CREATE TABLE report_symptom (
    report_number INTEGER NOT NULL REFERENCES report (number),
    symptom       TEXT NOT NULL CHECK (symptom IN ('brace-low', 'brace-high', 'too-long', 'too-short', 'will-not-string', 'loose-tags', 'serving-place', 'serving-gap', 'serving-loose', 'nock-fit', 'nocking-point', 'loop-fit', 'kinked', 'fuzzy', 'frayed', 'broken-strand', 'noisy', 'hand-slap', 'not-as-ordered', 'dry-fire', 'bow-damage', 'other')), reading_id INTEGER REFERENCES reading (id),
    PRIMARY KEY (report_number, symptom)
) STRICT, WITHOUT ROWID;
INSERT INTO "report_symptom" VALUES(1,'brace-low',NULL);
INSERT INTO "report_symptom" VALUES(2,'brace-low',NULL);
INSERT INTO "report_symptom" VALUES(3,'broken-strand',NULL);
INSERT INTO "report_symptom" VALUES(4,'brace-low',NULL);
INSERT INTO "report_symptom" VALUES(5,'serving-place',NULL);
INSERT INTO "report_symptom" VALUES(6,'brace-low',NULL);
INSERT INTO "report_symptom" VALUES(6,'too-long',NULL);
INSERT INTO "report_symptom" VALUES(7,'loose-tags',NULL);
INSERT INTO "report_symptom" VALUES(8,'other',NULL);
INSERT INTO "report_symptom" VALUES(9,'brace-low',NULL);
INSERT INTO "report_symptom" VALUES(10,'brace-low',NULL);
INSERT INTO "report_symptom" VALUES(11,'brace-low',NULL);
INSERT INTO "report_symptom" VALUES(12,'brace-high',NULL);
CREATE TABLE sent_letter (
    id            INTEGER PRIMARY KEY,
    string_id     INTEGER NOT NULL REFERENCES string (id),
    -- Absent where no report led to it.
    report_number INTEGER REFERENCES report (number),
    sent_on       TEXT NOT NULL CHECK (sent_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    kind          TEXT NOT NULL CHECK (length(kind) BETWEEN 1 AND 40),
    sent_to       TEXT CHECK (length(sent_to) <= 500),
    body          TEXT NOT NULL
, event_id INTEGER REFERENCES event (id)) STRICT;
INSERT INTO "sent_letter" VALUES(1,6,10,'2026-03-01','adjust','tamsin@example.org','Dear Tamsin Ewe,

Thank you for writing about your string W-1. Your brace height reads
7 1/16" and should be 7 1/2" to 8". That can be put right on the bow.

Please put in 14 full turns:

1. Unstring the bow with a stringer. Never turn the string under tension.
2. Look the string over from end to end. If a strand is broken or cut,
   stop and write to us.
3. Slip the lower loop, the smaller one, off its nock and keep the string
   straight.
4. Turn that loop the way in which the plies already wind round each
   other. They must close up, not open. If they open, you are turning the
   wrong way.
5. Do it in two goes, the second by what you read after the first. First 8
   full turns. One full turn is once round, until the loop faces the same
   way again.
6. Put the loop back, string the bow with a stringer, see that both loops
   sit fully in their nocks, and measure the brace height: from the string
   straight to the deepest point of the grip, square to the string. Do not
   shoot yet. Write it down.
7. Find what you read in the table below and do what it says.

After the first go this table counts, for one further go and no more.
Before you turn again, unstring the bow with a stringer and look string
and bow over as before. If anything is broken, cut or cracked, or if there
was ever a shot without an arrow, stop and write to us: the table no
longer counts.

- It reads 7 1/16" to 7 3/16": put in 8 full turns more, and nothing after
  that.
- It reads 7 1/4" to 7 5/16": put in 7 full turns more, and nothing after
  that.
- It reads 7 3/8" to 7 7/16": put in 6 full turns more, and nothing after
  that.
- It reads 7 1/2": put in 5 full turns more, and nothing after that.
- It reads 7 9/16" to 7 13/16": put in 4 full turns more, and nothing
  after that.
- Anything else: stop here, do not shoot, and write to us.

You should read about 7 3/4"; nine in ten read between 7 1/2" and 8".
Please send us what you read after each go and how many turns you made in
all, even if it is right: it teaches us how your bow answers. If it still
lies outside 7 1/2" to 8" when you have done what the table says, do not
shoot and do not go on turning; write to us. Should turning not do it, we
make you a new string at no cost, label included.

For your safety:

- Unstring the bow before turning the string; never turn it under tension.
- Use a stringer, to string and to unstring.
- Twisting in, the plies must close up, not open; never untwist a laid
  string all the way.
- See that both loops sit fully in their nocks before letting go and
  before drawing.
- Look over string and bow before every shooting.
- Never let the string go without an arrow on it.
- Stay within the brace height range that the bow''s maker gives.
- Stop at once on a broken or cut strand, a crack, a creak or a splinter.
- In any doubt the bow''s maker or a qualified bowyer decides.

With kind regards
The workshop

To answer, fill in these lines behind the colons and send them back:

String serial: W-1
Brace height:
Read with ruler or strip:
Full turns put in (+) or out (-):
Shots with this string:
Any strand broken or cut (yes/no):
Any crack, lift or line on the bow (yes/no):
Any shot without an arrow (yes/no):
',57);
INSERT INTO "sent_letter" VALUES(2,2,12,'2026-03-01','remake','perrin@example.org','Dear Perrin Vane,

Thank you for writing about your string S-2. Your brace height reads
21.0 cm and should be 19.1 cm to 20.3 cm. Turning cannot bring it there
safely, so we make you a new string.

The new string is 164.5 cm long under the workshop''s load, and should
stand at about 19.6 cm; nine in ten read between 18.6 cm and 20.6 cm. It
costs you nothing, and neither does sending the old one back: a return
label comes with it.

Please do not go on turning the old string. Please do not shoot it
meanwhile: 21.0 cm lies above the 19.1 cm to 20.3 cm that your bow''s maker
gives. When the new one is there:

1. Unstring the bow with a stringer and take the old string off.
2. Put the new string on with the larger, marked loop on the upper limb,
   string the bow with a stringer, and see that both loops sit fully in
   their nocks.
3. Measure the brace height: from the string straight to the deepest point
   of the grip, square to the string. Shoot some hundred arrows and
   measure again.
4. Send us both readings. A few turns may still be needed while it
   settles; we will tell you how many.

For your safety:

- Use a stringer, to string and to unstring.
- See that both loops sit fully in their nocks before letting go and
  before drawing.
- Look over string and bow before every shooting.
- Never let the string go without an arrow on it.
- Stay within the brace height range that the bow''s maker gives.
- Stop at once on a broken or cut strand, a crack, a creak or a splinter.
- In any doubt the bow''s maker or a qualified bowyer decides.

With kind regards
The workshop
',71);
INSERT INTO "sent_letter" VALUES(3,2,12,'2026-03-01','take-back','perrin@example.org','Dear Perrin Vane,

On 2026-03-01 we wrote to you about your string S-2. We had noted
something there by mistake, so that letter does not hold: please put it
aside, and do nothing more by it. Nothing in it counts for your bow: not
its turns, not its brace heights, and no height that it called low or
safe; what counts is what the maker of your bow gives. We are sorry for
it.

1. If you have done nothing by it, leave the string as it is.
2. If you turned the string by it, please turn nothing more and do not
   shoot. If the bow is strung, unstring it carefully, with a stringer,
   without drawing it, and write to us how many full turns you put in or
   let out. We tell you what to do next.
3. If you cut it, sent it or threw it away because of that letter, write
   to us as well: it is made good at no cost to you.
4. If anything of string or bow is broken, cut, cracked or lifted, or if
   the bow was shot without an arrow, do not shoot and do not string the
   bow, and write us that before anything else.

If something is wrong with the string S-2 all the same, tell us in your
own words; we answer that anew.

For your safety:

- Use a stringer, to string and to unstring.
- Look over string and bow before every shooting.
- Never let the string go without an arrow on it.
- Stop at once on a broken or cut strand, a crack, a creak or a splinter.
- In any doubt the bow''s maker or a qualified bowyer decides.

With kind regards
The workshop
',74);
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
    standing      TEXT NOT NULL CHECK (standing IN ('open', 'called-off', 'confirmed', 'answered')), reading_id INTEGER REFERENCES reading (id),
    UNIQUE (report_number, number)
) STRICT;
INSERT INTO "sign" VALUES(1,10,1,'shot',0,'I heard a crack once, but it was the arrow','message','open',NULL);
CREATE TABLE sign_said (
    id         INTEGER PRIMARY KEY,
    sign_id    INTEGER NOT NULL REFERENCES sign (id),
    standing   TEXT NOT NULL CHECK (standing IN ('open', 'called-off', 'confirmed', 'answered')),
    -- With which reading; absent where a person said it by itself.
    reading_id INTEGER REFERENCES reading (id),
    -- The reading holds the words of the sign once more.
    again      INTEGER NOT NULL CHECK (again IN (0, 1))
) STRICT;
INSERT INTO "sign_said" VALUES(1,1,'called-off',NULL,0);
CREATE TABLE spool (
    id   INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (length(name) BETWEEN 1 AND 200),
    yarn TEXT NOT NULL CHECK (yarn IN ('polyester', 'hmpe', 'hmpe-lcp', 'linen', 'unknown'))
, colour TEXT CHECK (length(colour) <= 500), bought_on TEXT CHECK (bought_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')) STRICT;
INSERT INTO "spool" VALUES(1,'L-7','hmpe',NULL,NULL);
INSERT INTO "spool" VALUES(2,'L-9','polyester','green',NULL);
CREATE TABLE strike (
    id            INTEGER PRIMARY KEY,
    -- The line of the history: who, and on which day.
    event_id      INTEGER NOT NULL REFERENCES event (id),
    -- A word of the program: string, report, reading, letter.
    what          TEXT NOT NULL CHECK (length(what) BETWEEN 1 AND 20),
    string_id     INTEGER NOT NULL REFERENCES string (id),
    report_number INTEGER REFERENCES report (number),
    reading_id    INTEGER REFERENCES reading (id),
    -- The line of the history that says that the letter went out.
    letter_id     INTEGER REFERENCES event (id),
    -- Emptied when the archer is forgotten; absent where a strike is taken back.
    why           TEXT CHECK (length(why) BETWEEN 1 AND 500),
    -- The strike that is taken back.
    undoes        INTEGER UNIQUE REFERENCES strike (id)
) STRICT;
INSERT INTO "strike" VALUES(1,61,'reading',6,10,13,NULL,'mistyped',NULL);
INSERT INTO "strike" VALUES(2,72,'report',2,12,NULL,NULL,'another archer''s mail',NULL);
CREATE TABLE "string" (
    id               INTEGER PRIMARY KEY,
    serial           TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (length(serial) BETWEEN 1 AND 80),
    order_ref        TEXT CHECK (length(order_ref) <= 500),
    archer_id        INTEGER NOT NULL REFERENCES archer (id),
    bow_id           INTEGER NOT NULL REFERENCES bow (id),
    sold_on          TEXT NOT NULL CHECK (sold_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    delivered_on     TEXT CHECK (delivered_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    route            TEXT NOT NULL CHECK (route IN ('old-string', 'marked', 'nock-to-nock', 'bow-maker', 'worked-out', 'repeat', 'unknown')),
    stated_inch      REAL CHECK (stated_inch BETWEEN 1 AND 200),
    stated_at        TEXT NOT NULL CHECK (stated_at IN ('loaded', 'hand-tight', 'unknown')),
    offset_inch      REAL CHECK (offset_inch BETWEEN -20 AND 20),
    -- Absent where nobody knows it: on the route unknown alone.
    ordered_inch     REAL CHECK (ordered_inch BETWEEN 1 AND 200),
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
    imported         TEXT CHECK (imported IS NULL OR json_valid(imported)),
    CHECK (ordered_inch IS NOT NULL OR route = 'unknown'),
    CHECK (route <> 'unknown' OR (stated_inch IS NULL AND offset_inch IS NULL))
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
INSERT INTO "string" VALUES(12,'S-8',NULL,9,10,'2026-03-01',NULL,'marked',68.0,'unknown',3.0,65.0,NULL,'loaded','outside',NULL,NULL,NULL,'polyester',5,2,'z',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "string" VALUES(13,'U-1',NULL,10,11,'2026-02-01',NULL,'unknown',NULL,'unknown',NULL,NULL,NULL,'loaded','outside',NULL,NULL,NULL,'unknown',NULL,2,'z',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
CREATE TABLE symptom_again (
    id            INTEGER PRIMARY KEY,
    report_number INTEGER NOT NULL REFERENCES report (number),
    symptom       TEXT NOT NULL,
    reading_id    INTEGER NOT NULL REFERENCES reading (id)
) STRICT;
INSERT INTO "symptom_again" VALUES(1,10,'brace-low',12);
CREATE TABLE verdict (
    id              INTEGER PRIMARY KEY,
    report_number   INTEGER NOT NULL REFERENCES report (number),
    made_on         TEXT NOT NULL,
    program_version TEXT NOT NULL,
    verdict         TEXT NOT NULL CHECK (verdict IN ('reassure', 'ask', 'adjust', 'mend', 'remake', 'refer', 'stop')),
    -- Everything it was worked out from: rules, string, bow, readings, pooled figures.
    inputs          TEXT NOT NULL CHECK (json_valid(inputs)),
    advice          TEXT NOT NULL CHECK (json_valid(advice))
, turns INTEGER, flip INTEGER NOT NULL DEFAULT 0 CHECK (flip IN (0, 1)), remake_length_inch REAL, likely_cause TEXT CHECK (likely_cause IN ('workshop', 'sizing', 'settling', 'handling', 'cosmetic', 'bow', 'yarn-choice', 'unknown')), free INTEGER CHECK (free IN (0, 1)), after_line INTEGER REFERENCES event (id)) STRICT;
INSERT INTO "verdict" VALUES(1,1,'2026-02-01','0.1.0','adjust','{"string":{"serial":"S-1","order_ref":null,"sold_on":"2026-01-05","delivered_on":"2026-01-12","route":"marked","stated":62.0,"stated_at":"unknown","offset":4.0,"ordered":58.0,"built":58.0625,"built_at":"loaded","built_across":"outside","old_yarn":null,"old_make":null,"old_measured":null,"yarn":"hmpe","strands":16,"plies":2,"lay":"z","turns":24.0,"loop_top":2.5,"loop_bottom":2.0,"serving":0.25,"pre_stretched":true,"silencers":false,"colours":"green, white","spool":null,"maker":"Rafe Kell","maker_initials":"RK","price_cents":2450,"replaces":null},"bow":{"kind":"recurve","marked_length":62.0,"nock_to_nock":59.25,"draw_weight":{"pounds":45.0,"at_inch":null},"brace_range":{"low_inch":7.5,"high_inch":8.0},"tips":"reinforced","stave":"laminated","year":2015,"maker_allows_low_stretch":false},"reports":[{"number":1,"received_on":"2026-02-01","symptoms":["brace-low"],"bow_signs":[],"readings":[{"taken_on":"2026-02-01","measurements":{"brace":7.0,"readings":3,"want":{"low_inch":7.5,"high_inch":8.0},"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":150,"marker":null,"serving":null,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":0.05660407248266981,"bow_effect":null,"own_second_readings":0,"pooled_ratio":1.0,"pooled_ratio_sd":0.1392838827718412,"settling":{"expected":0.0625,"sd":0.0625,"readings":0}}','{"verdict":"adjust","turns":14,"flip":false,"brace_now":7.0,"want":[7.5,8.0],"want_source":"bow-maker","brace_after":7.738764285198044,"brace_after_sd":0.11028064986235116,"chance_in_range":0.9758861624251858,"turns_now":[24.0,1.0],"window":[20,43],"reach":[6.843226690633389,8.067188110250871],"play_used":0.0,"play_left_in":0.9293112464827172,"play_left_out":0.1254288560610191,"remake_length":null,"remake_turns":null,"remake_yarn":null,"likely_cause":"sizing","cost_adjust":468,"cost_remake":3290,"ask":[],"first_step":null,"measure_again_after":null,"reasons":[{"reason":"reads","brace":7.0,"readings":3,"low":7.5,"high":8.0,"source":"bow-maker"},{"reason":"needs","string_change":0.6393538552676256,"turns":14.179440039652654},{"reason":"large-change","string_change":0.6393538552676256},{"reason":"reach","low":6.843226690633389,"high":8.067188110250871,"min":20,"max":43},{"reason":"cost-adjust","answer":400,"chance":0.9758861624251858,"again":2800,"total":468},{"reason":"cost-remake","once":2800,"misfit":0.17483316894079093,"total":3290},{"reason":"lands","turns":14,"brace":7.738764285198044,"sd":0.11028064986235116,"chance":0.9758861624251858},{"reason":"adjust-cheaper"},{"reason":"turns-in","turns":24.0,"sd":1.0,"known":"shipped","changed":0.0},{"reason":"table-figures"},{"reason":"would-change","verdict":"reassure","above":7.5,"below":null}],"cautions":["unstring-first","use-stringer","plies-close","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',14,0,NULL,'sizing',NULL,NULL);
INSERT INTO "verdict" VALUES(2,1,'2026-02-05','0.1.0','adjust','{"string":{"serial":"S-1","order_ref":null,"sold_on":"2026-01-05","delivered_on":"2026-01-12","route":"marked","stated":62.0,"stated_at":"unknown","offset":4.0,"ordered":58.0,"built":58.0625,"built_at":"loaded","built_across":"outside","old_yarn":null,"old_make":null,"old_measured":null,"yarn":"hmpe","strands":16,"plies":2,"lay":"z","turns":24.0,"loop_top":2.5,"loop_bottom":2.0,"serving":0.25,"pre_stretched":true,"silencers":false,"colours":"green, white","spool":null,"maker":"Rafe Kell","maker_initials":"RK","price_cents":2450,"replaces":null},"bow":{"kind":"recurve","marked_length":62.0,"nock_to_nock":59.25,"draw_weight":{"pounds":45.0,"at_inch":null},"brace_range":{"low_inch":7.5,"high_inch":8.0},"tips":"reinforced","stave":"laminated","year":2015,"maker_allows_low_stretch":false},"reports":[{"number":1,"received_on":"2026-02-01","symptoms":["brace-low"],"bow_signs":[],"readings":[{"taken_on":"2026-02-01","measurements":{"brace":7.0,"readings":3,"want":{"low_inch":7.5,"high_inch":8.0},"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":150,"marker":null,"serving":null,"photo":null}},{"taken_on":"2026-02-05","measurements":{"brace":7.25,"readings":null,"want":null,"length":null,"length_at":null,"turns_changed":8.0,"turns_counted":null,"counted_over":null,"fades":null,"shots":null,"marker":null,"serving":null,"photo":"sound"}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":0.05660407248266981,"bow_effect":null,"own_second_readings":0,"pooled_ratio":1.0,"pooled_ratio_sd":0.1392838827718412,"settling":{"expected":0.0625,"sd":0.0625,"readings":0}}','{"verdict":"adjust","turns":7,"flip":false,"brace_now":7.338318252590426,"want":[7.5,8.0],"want_source":"bow-maker","brace_after":7.726233778869643,"brace_after_sd":0.09978208145326103,"chance_in_range":0.9852752980140974,"turns_now":[32.0,1.0],"window":[20,43],"reach":[6.830008743610922,7.9753518075382726],"play_used":0.3194907649044209,"play_left_in":0.6067817010807519,"play_left_out":0.44795840146298443,"remake_length":null,"remake_turns":null,"remake_yarn":null,"likely_cause":"sizing","cost_adjust":441,"cost_remake":3074,"ask":[],"first_step":null,"measure_again_after":null,"reasons":[{"reason":"reads","brace":7.25,"readings":1,"low":7.5,"high":8.0,"source":"bow-maker"},{"reason":"needs","string_change":0.3863610420001485,"turns":7.395457100199479},{"reason":"reach","low":6.830008743610922,"high":7.9753518075382726,"min":20,"max":43},{"reason":"cost-adjust","answer":400,"chance":0.9852752980140974,"again":2800,"total":441},{"reason":"cost-remake","once":2800,"misfit":0.09795985105842786,"total":3074},{"reason":"lands","turns":7,"brace":7.726233778869643,"sd":0.09978208145326103,"chance":0.9852752980140974},{"reason":"adjust-cheaper"},{"reason":"turns-in","turns":32.0,"sd":1.0,"known":"shipped","changed":8.0},{"reason":"learned","ratio":0.9291741607778075,"sd":0.1286693502017527,"readings":1},{"reason":"table-figures"},{"reason":"would-change","verdict":"reassure","above":7.5,"below":null}],"cautions":["unstring-first","use-stringer","plies-close","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',7,0,NULL,'sizing',NULL,NULL);
INSERT INTO "verdict" VALUES(3,2,'2026-02-06','0.1.0','adjust','{"string":{"serial":"S-2","order_ref":null,"sold_on":"2026-01-06","delivered_on":null,"route":"old-string","stated":64.0,"stated_at":"hand-tight","offset":0.0,"ordered":64.25,"built":null,"built_at":"loaded","built_across":"outside","old_yarn":"hmpe","old_make":"endless","old_measured":"outside","yarn":"polyester","strands":14,"plies":2,"lay":"z","turns":26.0,"loop_top":null,"loop_bottom":null,"serving":null,"pre_stretched":null,"silencers":null,"colours":null,"spool":null,"maker":null,"maker_initials":null,"price_cents":null,"replaces":null},"bow":{"kind":"longbow","marked_length":68.0,"nock_to_nock":null,"draw_weight":null,"brace_range":{"low_inch":6.0,"high_inch":6.5},"tips":"unknown","stave":"unknown","year":null,"maker_allows_low_stretch":false},"reports":[{"number":2,"received_on":"2026-02-06","symptoms":["brace-low"],"bow_signs":[],"readings":[{"taken_on":"2026-02-06","measurements":{"brace":4.5,"readings":null,"want":null,"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":300,"marker":null,"serving":null,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":null,"bow_effect":null,"own_second_readings":1,"pooled_ratio":0.9944997952533176,"pooled_ratio_sd":0.21634588635646654,"settling":{"expected":0.125,"sd":0.125,"readings":0}}','{"verdict":"adjust","turns":24,"flip":false,"brace_now":4.5,"want":[6.0,6.5],"want_source":"bow-maker","brace_after":6.215042728078138,"brace_after_sd":0.33197929513582747,"chance_in_range":0.5460824797501127,"turns_now":[26.0,1.0],"window":[24,52],"reach":[4.389203671081823,6.38225678986376],"play_used":0.0,"play_left_in":1.223541546633993,"play_left_out":0.05883138958693496,"remake_length":null,"remake_turns":null,"remake_yarn":null,"likely_cause":"sizing","cost_adjust":1671,"cost_remake":3965,"ask":["fades"],"first_step":{"turns":7,"brace":4.9337280679202635,"sd":0.1290585910449515},"measure_again_after":null,"reasons":[{"reason":"reads","brace":4.5,"readings":1,"low":6.0,"high":6.5,"source":"bow-maker"},{"reason":"needs","string_change":1.1237440146068356,"turns":24.421082320640608},{"reason":"large-change","string_change":1.1237440146068356},{"reason":"reach","low":4.389203671081823,"high":6.38225678986376,"min":24,"max":52},{"reason":"cost-adjust","answer":400,"chance":0.5460824797501127,"again":2800,"total":1671},{"reason":"cost-remake","once":2800,"misfit":0.41591610547421753,"total":3965},{"reason":"lands","turns":24,"brace":6.215042728078138,"sd":0.33197929513582747,"chance":0.5460824797501127},{"reason":"adjust-cheaper"},{"reason":"would-narrow","ask":"fades","wrong_now":0.4514144534458545,"wrong_then":0.39964348971796665},{"reason":"turns-in","turns":26.0,"sd":1.0,"known":"shipped","changed":0.0},{"reason":"table-figures"},{"reason":"would-change","verdict":"reassure","above":6.0,"below":null}],"cautions":["unstring-first","use-stringer","plies-close","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',24,0,NULL,'sizing',NULL,NULL);
INSERT INTO "verdict" VALUES(4,3,'2026-02-07','0.1.0','stop','{"string":{"serial":"S-3","order_ref":null,"sold_on":"2026-01-07","delivered_on":null,"route":"nock-to-nock","stated":66.0,"stated_at":"unknown","offset":3.0,"ordered":63.0,"built":null,"built_at":"loaded","built_across":"outside","old_yarn":null,"old_make":null,"old_measured":null,"yarn":"hmpe","strands":14,"plies":2,"lay":"z","turns":22.0,"loop_top":null,"loop_bottom":null,"serving":null,"pre_stretched":null,"silencers":null,"colours":null,"spool":null,"maker":null,"maker_initials":null,"price_cents":null,"replaces":null},"bow":{"kind":"selfbow","marked_length":66.0,"nock_to_nock":null,"draw_weight":null,"brace_range":null,"tips":"plain","stave":"wood","year":null,"maker_allows_low_stretch":false},"reports":[{"number":3,"received_on":"2026-02-07","symptoms":["broken-strand"],"bow_signs":[],"readings":[{"taken_on":"2026-02-07","measurements":{"brace":5.0,"readings":null,"want":null,"length":62.5,"length_at":"hand-tight","turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":null,"marker":null,"serving":null,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":null,"bow_effect":null,"own_second_readings":1,"pooled_ratio":0.9944997952533176,"pooled_ratio_sd":0.2376811585001543,"settling":{"expected":0.0625,"sd":0.0625,"readings":0}}','{"verdict":"stop","turns":null,"flip":false,"brace_now":5.0,"want":[5.0,6.5],"want_source":"table","brace_after":null,"brace_after_sd":null,"chance_in_range":null,"turns_now":[22.0,1.0],"window":[27,57],"reach":[5.2442367978773055,7.343389959078702],"play_used":0.0,"play_left_in":1.442725767825577,"play_left_out":0.0,"remake_length":63.25,"remake_turns":31,"remake_yarn":"polyester","likely_cause":"unknown","cost_adjust":null,"cost_remake":null,"ask":[],"first_step":null,"measure_again_after":null,"reasons":[{"reason":"danger","symptom":"broken-strand"},{"reason":"other-yarn","from":"hmpe","to":"polyester","change":0.2613991935483871,"sd":0.13069959677419354}],"cautions":["do-not-shoot","inspect","never-dry-fire","stop-on-damage","ask-bowyer","polyester-only"]}',NULL,0,63.25,'unknown',NULL,NULL);
INSERT INTO "verdict" VALUES(5,4,'2026-02-08','0.1.0','adjust','{"string":{"serial":"S-4","order_ref":null,"sold_on":"2026-01-08","delivered_on":null,"route":"marked","stated":66.0,"stated_at":"unknown","offset":4.0,"ordered":62.0,"built":null,"built_at":"loaded","built_across":"outside","old_yarn":null,"old_make":null,"old_measured":null,"yarn":"polyester","strands":14,"plies":2,"lay":"z","turns":28.0,"loop_top":null,"loop_bottom":null,"serving":null,"pre_stretched":null,"silencers":null,"colours":null,"spool":null,"maker":null,"maker_initials":null,"price_cents":null,"replaces":null},"bow":{"kind":"recurve","marked_length":66.0,"nock_to_nock":null,"draw_weight":{"pounds":38.0,"at_inch":28.0},"brace_range":{"low_inch":8.0,"high_inch":8.5},"tips":"unknown","stave":"unknown","year":null,"maker_allows_low_stretch":false},"reports":[{"number":4,"received_on":"2026-02-08","symptoms":["brace-low"],"bow_signs":[],"readings":[{"taken_on":"2026-02-08","measurements":{"brace":7.25,"readings":null,"want":null,"length":null,"length_at":null,"turns_changed":null,"turns_counted":28.0,"counted_over":55.0,"fades":null,"shots":200,"marker":null,"serving":null,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":null,"bow_effect":null,"own_second_readings":1,"pooled_ratio":0.9799758170941091,"pooled_ratio_sd":0.22137911822005407,"settling":{"expected":0.125,"sd":0.125,"readings":0}}','{"verdict":"adjust","turns":18,"flip":false,"brace_now":7.25,"want":[8.0,8.5],"want_source":"bow-maker","brace_after":8.205352064461794,"brace_after_sd":0.22263622977858552,"chance_in_range":0.728988248553532,"turns_now":[27.05729507512991,0.8314904472583047],"window":[23,49],"reach":[7.091999341742441,8.464053453181359],"play_used":0.0,"play_left_in":1.0536654081613717,"play_left_out":0.12515415784979667,"remake_length":null,"remake_turns":null,"remake_yarn":null,"likely_cause":"sizing","cost_adjust":1159,"cost_remake":3694,"ask":["fades","brace-again"],"first_step":{"turns":8,"brace":7.626018857058867,"sd":0.12650134955898962},"measure_again_after":null,"reasons":[{"reason":"reads","brace":7.25,"readings":1,"low":8.0,"high":8.5,"source":"bow-maker"},{"reason":"needs","string_change":0.8560682415452713,"turns":18.69862028749719},{"reason":"large-change","string_change":0.8560682415452713},{"reason":"reach","low":7.091999341742441,"high":8.464053453181359,"min":23,"max":49},{"reason":"cost-adjust","answer":400,"chance":0.728988248553532,"again":2800,"total":1159},{"reason":"cost-remake","once":2800,"misfit":0.319219077892274,"total":3694},{"reason":"lands","turns":18,"brace":8.205352064461794,"sd":0.22263622977858552,"chance":0.728988248553532},{"reason":"adjust-cheaper"},{"reason":"would-narrow","ask":"fades","wrong_now":0.26147657621577663,"wrong_then":0.2118123495098933},{"reason":"turns-in","turns":27.05729507512991,"sd":0.8314904472583047,"known":"counted","changed":0.0},{"reason":"pooled","ratio":0.9799758170941091,"readings":1},{"reason":"would-change","verdict":"reassure","above":8.0,"below":null}],"cautions":["unstring-first","use-stringer","plies-close","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',18,0,NULL,'sizing',NULL,NULL);
INSERT INTO "verdict" VALUES(6,5,'2026-02-09','0.1.0','adjust','{"string":{"serial":"S-5","order_ref":null,"sold_on":"2026-01-08","delivered_on":null,"route":"marked","stated":66.0,"stated_at":"unknown","offset":4.0,"ordered":62.0,"built":null,"built_at":"loaded","built_across":"outside","old_yarn":null,"old_make":null,"old_measured":null,"yarn":"polyester","strands":14,"plies":2,"lay":"z","turns":28.0,"loop_top":null,"loop_bottom":null,"serving":null,"pre_stretched":null,"silencers":null,"colours":null,"spool":null,"maker":null,"maker_initials":null,"price_cents":null,"replaces":"S-4"},"bow":{"kind":"recurve","marked_length":66.0,"nock_to_nock":null,"draw_weight":null,"brace_range":null,"tips":"unknown","stave":"unknown","year":null,"maker_allows_low_stretch":false},"reports":[{"number":5,"received_on":"2026-02-09","symptoms":["serving-place"],"bow_signs":[],"readings":[{"taken_on":"2026-02-09","measurements":{"brace":8.125,"readings":null,"want":null,"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":null,"marker":"down","serving":0.5,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":null,"bow_effect":null,"own_second_readings":1,"pooled_ratio":0.9799758170941091,"pooled_ratio_sd":0.22137911822005407,"settling":{"expected":0.125,"sd":0.125,"readings":0}}','{"verdict":"adjust","turns":null,"flip":true,"brace_now":8.125,"want":[8.0,9.0],"want_source":"table","brace_after":null,"brace_after_sd":null,"chance_in_range":null,"turns_now":[28.0,1.0],"window":[23,49],"reach":[7.947868960131051,9.19306081794582],"play_used":0.0,"play_left_in":1.0215789401011728,"play_left_out":0.15724062590999538,"remake_length":null,"remake_turns":null,"remake_yarn":null,"likely_cause":"handling","cost_adjust":null,"cost_remake":null,"ask":["which-way-up","brace"],"first_step":null,"measure_again_after":null,"reasons":[{"reason":"marker-down"}],"cautions":["use-stringer","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',NULL,1,NULL,'handling',NULL,NULL);
INSERT INTO "verdict" VALUES(7,10,'2026-03-01','0.1.0','adjust','{"string":{"serial":"W-1","order_ref":null,"sold_on":"2025-09-02","delivered_on":null,"route":"marked","stated":62.0,"stated_at":"unknown","offset":null,"ordered":58.0,"built":null,"built_at":"loaded","built_across":"outside","old_yarn":null,"old_make":null,"old_measured":null,"yarn":"hmpe","strands":16,"plies":2,"lay":"z","turns":24.0,"loop_top":null,"loop_bottom":null,"serving":null,"pre_stretched":null,"silencers":null,"colours":null,"spool":"L-7","maker":null,"maker_initials":null,"price_cents":null,"replaces":null},"bow":{"kind":"recurve","marked_length":null,"nock_to_nock":null,"draw_weight":null,"brace_range":null,"tips":"reinforced","stave":"laminated","year":2015,"maker_allows_low_stretch":false},"reports":[{"number":10,"received_on":"2026-03-01","symptoms":["brace-low"],"signs":[{"number":1,"of":"shot","sure":false,"words":"","stands_in":"message","standing":"called-off"}],"readings":[{"taken_on":"2026-03-01","measurements":{"brace":7.0,"readings":null,"read_by":null,"want":{"low_inch":7.5,"high_inch":8.0},"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":null,"marker":null,"serving":null,"photo":null}},{"taken_on":"2026-03-01","measurements":{"brace":7.0625,"readings":null,"read_by":null,"want":null,"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":null,"marker":null,"serving":null,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"strip_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600,"question":150},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"terms":{"wear":null,"handling":null,"own_cut":null,"price":null},"reasons":{},"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.question":"150","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.reports-since":"","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","reading.strip-sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","strength.hmpe":"100","strength.hmpe-lcp":"70","strength.linen":"6","strength.polyester":"50","terms.handling":"","terms.own-cut":"","terms.price":"","terms.wear":"","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":0.05660407248266981,"bow_effect":null,"usual_turns":{"from":"recorded","of_make":3,"of_yarn":4,"per_inch":0.5728554391871171},"own_second_readings":1,"pooled_ratio":0.9800459331161837,"pooled_ratio_sd":0.13810503760177756,"settling":{"expected":0.0625,"sd":0.0625,"readings":0}}','{"verdict":"adjust","turns":14,"flip":false,"brace_now":7.03125,"want":[7.5,8.0],"want_source":"archer","brace_after":7.753321940340731,"brace_after_sd":0.11847895882518686,"chance_in_range":0.9650770390832745,"turns_now":[24.0,1.0],"window":[20,43],"reach":[6.878283158823339,8.074890786120704],"play_used":0.0,"play_left_in":0.9307089338273999,"play_left_out":0.12560853897705143,"remake_length":null,"remake_turns":null,"remake_yarn":null,"free":null,"price":null,"likely_cause":"sizing","cost_adjust":498,"cost_remake":3532,"ask":[],"chance_with_table":0.9868165576608398,"then":[{"low_inch":0.0,"high_inch":7.25,"turns":null},{"low_inch":7.3125,"high_inch":7.5,"turns":3},{"low_inch":7.5625,"high_inch":7.9375,"turns":0},{"low_inch":8.0,"high_inch":8.1875,"turns":-3},{"low_inch":8.25,"high_inch":20.0,"turns":null}],"first_step":{"turns":8,"brace":7.41011666421834,"sd":0.08596085253470911},"first_step_then":[{"low_inch":0.0,"high_inch":7.0,"turns":null},{"low_inch":7.0625,"high_inch":7.1875,"turns":8},{"low_inch":7.25,"high_inch":7.3125,"turns":7},{"low_inch":7.375,"high_inch":7.4375,"turns":6},{"low_inch":7.5,"high_inch":7.5,"turns":5},{"low_inch":7.5625,"high_inch":7.8125,"turns":4},{"low_inch":7.875,"high_inch":20.0,"turns":null}],"measure_again_after":null,"reasons":[{"reason":"reads","brace":7.0625,"readings":1,"low":7.5,"high":8.0,"source":"archer"},{"reason":"needs","string_change":0.6271888538688531,"turns":13.945656880830086},{"reason":"large-change","string_change":0.6271888538688531},{"reason":"reach","low":6.878283158823339,"high":8.074890786120704,"min":20,"max":43},{"reason":"cost-adjust","answer":400,"chance":0.9650770390832745,"again":2800,"total":498},{"reason":"cost-remake","once":2800,"misfit":0.26147173771608645,"total":3532},{"reason":"lands","turns":14,"brace":7.753321940340731,"sd":0.11847895882518686,"chance":0.9650770390832745},{"reason":"adjust-cheaper"},{"reason":"turns-in","turns":24.0,"sd":1.0,"known":"shipped","usual":{"from":"recorded","of_make":3,"of_yarn":4,"per_inch":0.5728554391871171},"changed":0.0},{"reason":"pooled","ratio":0.9800459331161837,"readings":1},{"reason":"would-change","verdict":"reassure","above":7.5,"below":null},{"reason":"strength-not-checked","missing":["draw-weight"]}],"cautions":["unstring-first","use-stringer","plies-close","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',14,0,NULL,'sizing',NULL,NULL);
INSERT INTO "verdict" VALUES(8,10,'2026-03-01','0.1.0','adjust','{"string":{"serial":"W-1","order_ref":null,"sold_on":"2025-09-02","delivered_on":null,"route":"marked","stated":62.0,"stated_at":"unknown","offset":null,"ordered":58.0,"built":null,"built_at":"loaded","built_across":"outside","old_yarn":null,"old_make":null,"old_measured":null,"yarn":"hmpe","strands":16,"plies":2,"lay":"z","turns":24.0,"loop_top":null,"loop_bottom":null,"serving":null,"pre_stretched":null,"silencers":null,"colours":null,"spool":"L-7","maker":null,"maker_initials":null,"price_cents":null,"replaces":null},"bow":{"kind":"recurve","marked_length":null,"nock_to_nock":null,"draw_weight":null,"brace_range":null,"tips":"reinforced","stave":"laminated","year":2015,"maker_allows_low_stretch":false},"reports":[{"number":10,"received_on":"2026-03-01","symptoms":["brace-low"],"signs":[{"number":1,"of":"shot","sure":false,"words":"","stands_in":"message","standing":"called-off"}],"readings":[{"taken_on":"2026-03-01","measurements":{"brace":7.0,"readings":null,"read_by":null,"want":{"low_inch":7.5,"high_inch":8.0},"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":null,"marker":null,"serving":null,"photo":null}},{"taken_on":"2026-03-01","measurements":{"brace":7.0625,"readings":null,"read_by":null,"want":null,"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":null,"marker":null,"serving":null,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"strip_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600,"question":150},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"terms":{"wear":null,"handling":null,"own_cut":null,"price":null},"reasons":{},"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.question":"150","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.reports-since":"","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","reading.strip-sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","strength.hmpe":"100","strength.hmpe-lcp":"70","strength.linen":"6","strength.polyester":"50","terms.handling":"","terms.own-cut":"","terms.price":"","terms.wear":"","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":0.05660407248266981,"bow_effect":null,"usual_turns":{"from":"recorded","of_make":3,"of_yarn":4,"per_inch":0.5728554391871171},"own_second_readings":1,"pooled_ratio":0.9800459331161837,"pooled_ratio_sd":0.13810503760177756,"settling":{"expected":0.0625,"sd":0.0625,"readings":0}}','{"verdict":"adjust","turns":13,"flip":false,"brace_now":7.03125,"want":[7.5,8.0],"want_source":"archer","brace_after":7.692804082984508,"brace_after_sd":0.11218312647043688,"chance_in_range":0.9540739094307129,"turns_now":[24.0,1.0],"window":[20,43],"reach":[6.878283158823339,8.074890786120704],"play_used":0.0,"play_left_in":0.9307089338273999,"play_left_out":0.12560853897705143,"remake_length":null,"remake_turns":null,"remake_yarn":null,"free":null,"price":null,"likely_cause":"sizing","cost_adjust":null,"cost_remake":null,"ask":[],"chance_with_table":0.9868165576608398,"then":[{"low_inch":0.0,"high_inch":7.1875,"turns":null},{"low_inch":7.25,"high_inch":7.4375,"turns":4},{"low_inch":7.5,"high_inch":7.5625,"turns":2},{"low_inch":7.625,"high_inch":8.0,"turns":0},{"low_inch":8.0625,"high_inch":8.125,"turns":-3},{"low_inch":8.1875,"high_inch":20.0,"turns":null}],"first_step":{"turns":8,"brace":7.41011666421834,"sd":0.08596085253470911},"first_step_then":[{"low_inch":0.0,"high_inch":7.0,"turns":null},{"low_inch":7.0625,"high_inch":7.1875,"turns":8},{"low_inch":7.25,"high_inch":7.3125,"turns":7},{"low_inch":7.375,"high_inch":7.4375,"turns":6},{"low_inch":7.5,"high_inch":7.5,"turns":5},{"low_inch":7.5625,"high_inch":7.8125,"turns":4},{"low_inch":7.875,"high_inch":20.0,"turns":null}],"measure_again_after":null,"reasons":[{"reason":"maker-decided","decided":{"free":null,"remake":null,"turns":13,"length":null},"verdict":"adjust","turns":14,"length":null},{"reason":"reads","brace":7.0625,"readings":1,"low":7.5,"high":8.0,"source":"archer"},{"reason":"lands","turns":13,"brace":7.692804082984508,"sd":0.11218312647043688,"chance":0.9540739094307129},{"reason":"turns-in","turns":24.0,"sd":1.0,"known":"shipped","usual":{"from":"recorded","of_make":3,"of_yarn":4,"per_inch":0.5728554391871171},"changed":0.0},{"reason":"pooled","ratio":0.9800459331161837,"readings":1},{"reason":"would-change","verdict":"reassure","above":7.5,"below":null},{"reason":"strength-not-checked","missing":["draw-weight"]}],"cautions":["unstring-first","use-stringer","plies-close","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',13,0,NULL,'sizing',NULL,NULL);
INSERT INTO "verdict" VALUES(9,12,'2026-03-01','0.1.0','remake','{"string":{"serial":"S-2","order_ref":null,"sold_on":"2026-01-06","delivered_on":null,"route":"old-string","stated":64.0,"stated_at":"hand-tight","offset":0.0,"ordered":64.25,"built":null,"built_at":"loaded","built_across":"outside","old_yarn":"hmpe","old_make":"endless","old_measured":"outside","yarn":"polyester","strands":14,"plies":2,"lay":"z","turns":26.0,"loop_top":null,"loop_bottom":null,"serving":null,"pre_stretched":null,"silencers":null,"colours":null,"spool":null,"maker":null,"maker_initials":null,"price_cents":null,"replaces":null},"bow":{"kind":"longbow","marked_length":68.0,"nock_to_nock":null,"draw_weight":null,"brace_range":{"low_inch":7.5,"high_inch":8.0},"tips":"unknown","stave":"unknown","year":null,"maker_allows_low_stretch":false},"reports":[{"number":2,"received_on":"2026-02-06","symptoms":["brace-low"],"signs":[],"readings":[{"taken_on":"2026-02-06","measurements":{"brace":4.5,"readings":null,"read_by":null,"want":null,"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":300,"marker":null,"serving":null,"photo":null}}],"settled":false},{"number":12,"received_on":"2026-03-01","symptoms":["brace-high"],"signs":[],"readings":[{"taken_on":"2026-03-01","measurements":{"brace":8.25,"readings":null,"read_by":null,"want":null,"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":null,"marker":null,"serving":null,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"strip_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600,"question":150},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"terms":{"wear":null,"handling":null,"own_cut":null,"price":null},"reasons":{},"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.question":"150","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.reports-since":"","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","reading.strip-sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","strength.hmpe":"100","strength.hmpe-lcp":"70","strength.linen":"6","strength.polyester":"50","terms.handling":"","terms.own-cut":"","terms.price":"","terms.wear":"","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":null,"bow_effect":null,"usual_turns":{"from":"recorded","of_make":3,"of_yarn":3,"per_inch":0.5742961480257287},"own_second_readings":1,"pooled_ratio":0.994519054589853,"pooled_ratio_sd":0.21627604719248517,"settling":{"expected":0.125,"sd":0.125,"readings":0}}','{"verdict":"remake","turns":null,"flip":false,"brace_now":8.25,"want":[7.5,8.0],"want_source":"bow-maker","brace_after":7.723986755403594,"brace_after_sd":0.22945676109112162,"chance_in_range":0.7209999143726605,"turns_now":[26.0,1.0],"window":[24,52],"reach":[8.19009095144746,9.409893644799043],"play_used":0.0,"play_left_in":1.223541546633993,"play_left_out":0.05883138958693496,"remake_length":64.75,"remake_turns":29,"remake_yarn":"polyester","free":true,"price":null,"likely_cause":"sizing","cost_adjust":3114,"cost_remake":3581,"ask":[],"chance_with_table":null,"then":[],"first_step":null,"first_step_then":[],"measure_again_after":null,"reasons":[{"reason":"reads","brace":8.25,"readings":1,"low":7.5,"high":8.0,"source":"bow-maker"},{"reason":"needs","string_change":-0.47786195466513165,"turns":null},{"reason":"reach","low":8.19009095144746,"high":9.409893644799043,"min":24,"max":52},{"reason":"cost-adjust","answer":400,"chance":0.030681259530435448,"again":2800,"total":3114},{"reason":"cost-remake","once":2800,"misfit":0.27900008562733947,"total":3581},{"reason":"out-of-reach"},{"reason":"remake-length","length":64.75,"exact":64.72604717452332,"sd":0.21092709914845825,"turns":29,"brace":7.723986755403594},{"reason":"turns-in","turns":26.0,"sd":1.0,"known":"shipped","usual":{"from":"recorded","of_make":3,"of_yarn":3,"per_inch":0.5742961480257287},"changed":0.0},{"reason":"table-figures"},{"reason":"would-change","verdict":"adjust","above":null,"below":8.061321864745164},{"reason":"strength-not-checked","missing":["draw-weight"]}],"cautions":["use-stringer","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',NULL,0,64.75,'sizing',1,69);
INSERT INTO "verdict" VALUES(10,2,'2026-03-01','0.1.0','adjust','{"string":{"serial":"S-2","order_ref":null,"sold_on":"2026-01-06","delivered_on":null,"route":"old-string","stated":64.0,"stated_at":"hand-tight","offset":0.0,"ordered":64.25,"built":null,"built_at":"loaded","built_across":"outside","old_yarn":"hmpe","old_make":"endless","old_measured":"outside","yarn":"polyester","strands":14,"plies":2,"lay":"z","turns":26.0,"loop_top":null,"loop_bottom":null,"serving":null,"pre_stretched":null,"silencers":null,"colours":null,"spool":null,"maker":null,"maker_initials":null,"price_cents":null,"replaces":null},"bow":{"kind":"longbow","marked_length":68.0,"nock_to_nock":null,"draw_weight":null,"brace_range":{"low_inch":6.0,"high_inch":6.5},"tips":"unknown","stave":"unknown","year":null,"maker_allows_low_stretch":false},"reports":[{"number":2,"received_on":"2026-02-06","symptoms":["brace-low"],"signs":[],"readings":[{"taken_on":"2026-02-06","measurements":{"brace":4.5,"readings":null,"read_by":null,"want":null,"length":null,"length_at":null,"turns_changed":null,"turns_counted":null,"counted_over":null,"fades":null,"shots":300,"marker":null,"serving":null,"photo":null}}],"settled":false}],"rules":{"units":"inch","currency":"EUR","workshop_name":"","signature":"","window_degrees":[9.0,20.0],"play_shorten":null,"play_lengthen":null,"reading_sd":0.1,"strip_sd":0.1,"build_tolerance":0.125,"let_out":0.25,"rounding":0.125,"chance_floor":0.5,"costs":{"answer":400,"remake":1800,"label":600,"question":150},"wait_days":7,"settle_shots":100,"vintage_years":30,"serving_below":1.0,"load_lb":100.0,"table_reach":0.5,"terms":{"wear":null,"handling":null,"own_cut":null,"price":null},"reasons":{},"values":{"brace.long-riser.58-60":"7.25..8.25","brace.long-riser.62-64":"7.5..8.5","brace.long-riser.66-68":"8..9","brace.long-riser.70-72":"8.75..9.5","brace.longbow":"6..7","brace.recurve.58-60":"7.25..8.25","brace.recurve.62-64":"7.5..8.5","brace.recurve.66-68":"8..9","brace.recurve.70-72":"8.75..9.5","brace.reflex-deflex":"6.5..7.5","brace.selfbow":"5..6.5","brace.table-reach":"0.5","build.let-out":"0.25","build.tolerance":"0.125","build.turns-per-inch":"","chance.floor":"0.5","cost.answer":"400","cost.label":"600","cost.question":"150","cost.remake":"1800","currency":"EUR","length.load":"100","month.delivery-days":"5","month.horizon":"180","month.memory":"24","month.play-lengthen":"0.25","month.play-shorten":"0.75","month.questions":"5","month.reports-since":"","month.told-share":"0.9","offset.bow-maker.horsebow":"0","offset.bow-maker.long-riser":"0","offset.bow-maker.longbow":"0","offset.bow-maker.recurve":"0","offset.bow-maker.reflex-deflex":"0","offset.bow-maker.selfbow":"0","offset.bow-maker.unknown":"0","offset.marked.horsebow":"3","offset.marked.long-riser":"4","offset.marked.longbow":"3","offset.marked.recurve":"3.75","offset.marked.reflex-deflex":"3","offset.marked.selfbow":"3","offset.marked.unknown":"3","offset.nock-to-nock.horsebow":"3","offset.nock-to-nock.long-riser":"4","offset.nock-to-nock.longbow":"3","offset.nock-to-nock.recurve":"4","offset.nock-to-nock.reflex-deflex":"3","offset.nock-to-nock.selfbow":"3","offset.nock-to-nock.unknown":"3","offset.old-string.horsebow":"0","offset.old-string.long-riser":"0","offset.old-string.longbow":"0","offset.old-string.recurve":"0","offset.old-string.reflex-deflex":"0","offset.old-string.selfbow":"0","offset.old-string.unknown":"0","offset.repeat.horsebow":"0","offset.repeat.long-riser":"0","offset.repeat.longbow":"0","offset.repeat.recurve":"0","offset.repeat.reflex-deflex":"0","offset.repeat.selfbow":"0","offset.repeat.unknown":"0","offset.worked-out.horsebow":"0","offset.worked-out.long-riser":"0","offset.worked-out.longbow":"0","offset.worked-out.recurve":"0","offset.worked-out.reflex-deflex":"0","offset.worked-out.selfbow":"0","offset.worked-out.unknown":"0","play.lengthen":"","play.shorten":"","reading.sd":"0.1","reading.strip-sd":"0.1","rounding":"0.125","serving.below":"1","settle.hmpe":"0.0625","settle.hmpe-lcp":"0.03125","settle.hmpe-lcp.sd":"0.03125","settle.hmpe.sd":"0.0625","settle.linen":"0.0625","settle.linen.sd":"0.0625","settle.polyester":"0.125","settle.polyester.sd":"0.125","settle.shots":"100","settle.unknown":"0.09375","settle.unknown.sd":"0.09375","strength.hmpe":"100","strength.hmpe-lcp":"70","strength.linen":"6","strength.polyester":"50","terms.handling":"","terms.own-cut":"","terms.price":"","terms.wear":"","units":"inch","vintage.years":"30","wait.days":"7","window.max-degrees":"20","window.min-degrees":"9","workshop.name":"","workshop.signature":""}},"bench_radius_inch":null,"bow_effect":null,"usual_turns":{"from":"recorded","of_make":3,"of_yarn":3,"per_inch":0.5742961480257287},"own_second_readings":1,"pooled_ratio":0.994519054589853,"pooled_ratio_sd":0.21627604719248517,"settling":{"expected":0.125,"sd":0.125,"readings":0},"untold":true}','{"verdict":"adjust","turns":24,"flip":false,"brace_now":4.5,"want":[6.0,6.5],"want_source":"bow-maker","brace_after":6.215071358672298,"brace_after_sd":0.3318771861018515,"chance_in_range":0.5462239119972064,"turns_now":[26.0,1.0],"window":[24,52],"reach":[4.389201498334469,6.382287866151873],"play_used":0.0,"play_left_in":1.223541546633993,"play_left_out":0.05883138958693496,"remake_length":null,"remake_turns":null,"remake_yarn":null,"free":null,"price":null,"likely_cause":"sizing","cost_adjust":1671,"cost_remake":3965,"ask":["fades"],"chance_with_table":0.6609004573940094,"then":[{"low_inch":0.0,"high_inch":5.9375,"turns":null},{"low_inch":6.0,"high_inch":6.125,"turns":1},{"low_inch":6.1875,"high_inch":6.3125,"turns":0},{"low_inch":6.375,"high_inch":6.5,"turns":-2},{"low_inch":6.5625,"high_inch":20.0,"turns":null}],"first_step":{"turns":12,"brace":5.281144098066547,"sd":0.18034365556581738},"first_step_then":[{"low_inch":0.0,"high_inch":5.0625,"turns":null},{"low_inch":5.125,"high_inch":5.25,"turns":13},{"low_inch":5.3125,"high_inch":5.375,"turns":11},{"low_inch":5.4375,"high_inch":5.5,"turns":10},{"low_inch":5.5625,"high_inch":5.625,"turns":8},{"low_inch":5.6875,"high_inch":5.9375,"turns":6},{"low_inch":6.0,"high_inch":6.5,"turns":0},{"low_inch":6.5625,"high_inch":20.0,"turns":null}],"measure_again_after":null,"reasons":[{"reason":"reads","brace":4.5,"readings":1,"low":6.0,"high":6.5,"source":"bow-maker"},{"reason":"needs","string_change":1.1237222527672237,"turns":24.42073191963373},{"reason":"large-change","string_change":1.1237222527672237},{"reason":"reach","low":4.389201498334469,"high":6.382287866151873,"min":24,"max":52},{"reason":"cost-adjust","answer":400,"chance":0.5462239119972064,"again":2800,"total":1671},{"reason":"cost-remake","once":2800,"misfit":0.41591839057406366,"total":3965},{"reason":"lands","turns":24,"brace":6.215071358672298,"sd":0.3318771861018515,"chance":0.5462239119972064},{"reason":"adjust-cheaper"},{"reason":"would-narrow","ask":"fades","wrong_now":0.45127524223534177,"wrong_then":0.3994607172902373},{"reason":"turns-in","turns":26.0,"sd":1.0,"known":"shipped","usual":{"from":"recorded","of_make":3,"of_yarn":3,"per_inch":0.5742961480257287},"changed":0.0},{"reason":"table-figures"},{"reason":"would-change","verdict":"reassure","above":6.0,"below":null},{"reason":"strength-not-checked","missing":["draw-weight"]}],"cautions":["unstring-first","use-stringer","plies-close","seat-loops","inspect","never-dry-fire","stay-in-range","stop-on-damage","ask-bowyer"]}',24,0,NULL,'sizing',NULL,73);
CREATE INDEX archer_by_email ON archer (email COLLATE NOCASE);
CREATE INDEX archer_by_name ON archer (name COLLATE NOCASE);
CREATE INDEX bow_by_archer ON bow (archer_id);
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
CREATE INDEX reading_by_brace ON reading (report_number) WHERE brace_inch IS NOT NULL;
CREATE INDEX open_question_by_report ON open_question (report_number);
CREATE INDEX sent_letter_by_string ON sent_letter (string_id);
CREATE INDEX sent_letter_by_report ON sent_letter (report_number);
CREATE INDEX former_address_by_archer ON former_address (archer_id);
CREATE INDEX former_address_by_email ON former_address (email COLLATE NOCASE);
CREATE INDEX decision_by_report ON decision (report_number);
CREATE INDEX strike_by_string ON strike (string_id);
CREATE INDEX strike_by_report ON strike (report_number);
CREATE INDEX event_by_reading ON event (reading_id) WHERE reading_id IS NOT NULL;
CREATE INDEX event_by_made ON event (made_id) WHERE made_id IS NOT NULL;
CREATE INDEX symptom_again_by_report ON symptom_again (report_number, symptom);
CREATE INDEX sign_said_by_sign ON sign_said (sign_id);
CREATE INDEX string_by_order ON string (order_ref COLLATE NOCASE);
CREATE INDEX string_by_archer ON string (archer_id);
CREATE INDEX string_by_bow ON string (bow_id);
CREATE INDEX string_by_spool ON string (spool_id);
CREATE INDEX string_by_replaced ON string (replaces_id);
CREATE INDEX string_by_made_number ON string (CAST(substr(serial, 3) AS INTEGER))
    WHERE serial GLOB '[Ss]-[0-9]*' AND substr(serial, 3) NOT GLOB '*[^0-9]*' AND length(serial) < 18;
CREATE INDEX string_by_recorded_turns ON string (yarn)
    WHERE turns IS NOT NULL AND strands IS NOT NULL AND replaces_id IS NULL;
CREATE INDEX noted_mail_by_mark ON noted_mail (mark);
CREATE INDEX noted_mail_by_report ON noted_mail (report_number);
CREATE INDEX verdict_by_line ON verdict (after_line, report_number);
CREATE UNIQUE INDEX bow_told_by_reading ON bow_told (reading_id);
COMMIT;
