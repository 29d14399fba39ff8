PRAGMA application_id = 1147749217;
PRAGMA user_version = 1;
BEGIN TRANSACTION;
CREATE TABLE answer_sums (
	symptom TEXT NOT NULL, 
	cause TEXT NOT NULL, 
	check_id TEXT NOT NULL, 
	answer TEXT NOT NULL, 
	year INTEGER NOT NULL, 
	ending TEXT NOT NULL, 
	total INTEGER NOT NULL, 
	PRIMARY KEY (symptom, cause, check_id, answer, year, ending)
);
INSERT INTO "answer_sums" VALUES('water-pump','pump-fuse','pump-sound','silent',2024,'cured',1);
INSERT INTO "answer_sums" VALUES('water-pump','pump-fuse','pump-volts','low',2024,'cured',1);
INSERT INTO "answer_sums" VALUES('water-pump','pump-worn','pump-sound','runs',2025,'referred',1);
INSERT INTO "answer_sums" VALUES('heater-no-fire','not-listed','smell-of-gas','no',2026,'open',1);
CREATE TABLE case_store (
	version INTEGER NOT NULL, 
	since VARCHAR(27) NOT NULL, 
	PRIMARY KEY (version)
);
INSERT INTO "case_store" VALUES(1,'2026-03-01T12:00:00.000000Z');
CREATE TABLE cases (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	symptom TEXT NOT NULL, 
	tree_digest TEXT NOT NULL, 
	role TEXT NOT NULL, 
	state TEXT NOT NULL, 
	opened VARCHAR(27) NOT NULL, 
	changed VARCHAR(27) NOT NULL, 
	vehicle TEXT NOT NULL, 
	referral TEXT NOT NULL, 
	points_to TEXT NOT NULL, 
	confirmed BOOLEAN NOT NULL, 
	cause TEXT NOT NULL, 
	confirmed_on VARCHAR(27), 
	confirmed_lines INTEGER NOT NULL, 
	asked_outcome BOOLEAN NOT NULL, 
	lines INTEGER NOT NULL
);
INSERT INTO "cases" VALUES(1,'water-pump','digest-1','owner','cured','2024-04-01T09:00:00.000000Z','2024-04-03T09:00:00.000000Z','Van 7','','pump-fuse',1,'pump-fuse','2024-04-03T09:00:00.000000Z',2,0,2);
INSERT INTO "cases" VALUES(2,'water-pump','digest-1','owner','referred','2025-04-01T09:00:00.000000Z','2025-04-03T09:00:00.000000Z','van 7','workshop','',1,'pump-worn','2025-04-03T09:00:00.000000Z',2,0,2);
INSERT INTO "cases" VALUES(3,'water-pump','digest-1','owner','referred','2025-04-01T09:00:00.000000Z','2025-04-01T10:00:00.000000Z','','workshop','',0,'',NULL,0,0,1);
INSERT INTO "cases" VALUES(4,'water-pump','digest-1','owner','referred','2025-04-01T09:00:00.000000Z','2025-04-01T10:00:00.000000Z','','workshop','',0,'',NULL,0,0,0);
INSERT INTO "cases" VALUES(5,'heater-no-fire','digest-1','owner','stopped','2026-04-01T09:00:00.000000Z','2026-04-01T10:00:00.000000Z','Überland 3','gas-escape','',0,'',NULL,0,0,2);
INSERT INTO "cases" VALUES(6,'heater-no-fire','digest-1','owner','open','2026-04-01T09:00:00.000000Z','2026-04-03T09:00:00.000000Z','Überland 3','','',1,'not-listed','2026-04-03T09:00:00.000000Z',1,0,1);
INSERT INTO "cases" VALUES(7,'heater-no-fire','digest-1','owner','left-off','2026-04-01T09:00:00.000000Z','2026-04-01T10:00:00.000000Z','blue van','','',0,'',NULL,0,0,2);
CREATE TABLE cause_sums (
	symptom TEXT NOT NULL, 
	cause TEXT NOT NULL, 
	year INTEGER NOT NULL, 
	ending TEXT NOT NULL, 
	total INTEGER NOT NULL, 
	PRIMARY KEY (symptom, cause, year, ending)
);
INSERT INTO "cause_sums" VALUES('water-pump','pump-fuse',2024,'cured',1);
INSERT INTO "cause_sums" VALUES('water-pump','pump-worn',2025,'referred',1);
INSERT INTO "cause_sums" VALUES('heater-no-fire','not-listed',2026,'open',1);
CREATE TABLE entries (
	case_id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	time VARCHAR(27) NOT NULL, 
	kind TEXT NOT NULL, 
	subject TEXT NOT NULL, 
	answer TEXT, 
	value DOUBLE, 
	uncertainty DOUBLE, 
	ahead BOOLEAN NOT NULL, 
	PRIMARY KEY (case_id, number), 
	FOREIGN KEY(case_id) REFERENCES cases (id)
);
INSERT INTO "entries" VALUES(1,1,'2024-04-01T09:01:00.000000Z','finding','pump-sound','silent',NULL,NULL,0);
INSERT INTO "entries" VALUES(1,2,'2024-04-01T09:02:00.000000Z','finding','pump-volts','low',10.9,0.1,0);
INSERT INTO "entries" VALUES(2,1,'2025-04-01T09:01:00.000000Z','finding','pump-sound','silent',NULL,NULL,0);
INSERT INTO "entries" VALUES(2,2,'2025-04-01T09:02:00.000000Z','finding','pump-sound','runs',NULL,NULL,0);
INSERT INTO "entries" VALUES(3,1,'2025-04-01T09:01:00.000000Z','finding','pump-sound','not-sure',NULL,NULL,0);
INSERT INTO "entries" VALUES(5,1,'2026-04-01T09:01:00.000000Z','finding','smell-of-gas','yes',NULL,NULL,0);
INSERT INTO "entries" VALUES(5,2,'2026-04-01T09:02:00.000000Z','danger','','',NULL,NULL,0);
INSERT INTO "entries" VALUES(6,1,'2026-04-01T09:01:00.000000Z','finding','smell-of-gas','no',NULL,NULL,0);
INSERT INTO "entries" VALUES(7,1,'2026-04-01T09:01:00.000000Z','finding','smell-of-gas','no',NULL,NULL,0);
INSERT INTO "entries" VALUES(7,2,'2026-04-01T09:02:00.000000Z','back','1',NULL,NULL,NULL,0);
CREATE INDEX cases_by_state ON cases (state, changed, id);
CREATE INDEX cases_unconfirmed ON cases (confirmed, asked_outcome, opened, id);
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('cases',7);
COMMIT;
