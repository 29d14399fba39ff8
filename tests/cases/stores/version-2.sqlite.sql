PRAGMA application_id = 1147749217;
PRAGMA user_version = 2;
BEGIN TRANSACTION;
CREATE TABLE answer_sums (
	symptom TEXT NOT NULL, 
	cause TEXT NOT NULL, 
	check_id TEXT NOT NULL, 
	answer TEXT NOT NULL, 
	year INTEGER NOT NULL, 
	ending TEXT NOT NULL, 
	origin TEXT NOT NULL, 
	total INTEGER NOT NULL, 
	PRIMARY KEY (symptom, cause, check_id, answer, year, ending, origin)
);
INSERT INTO "answer_sums" VALUES('water-pump','pump-fuse','pump-sound','silent',2024,'cured','',1);
INSERT INTO "answer_sums" VALUES('water-pump','pump-fuse','pump-volts','low',2024,'cured','',1);
INSERT INTO "answer_sums" VALUES('water-pump','pump-worn','pump-sound','runs',2025,'referred','',1);
INSERT INTO "answer_sums" VALUES('heater-no-fire','not-listed','smell-of-gas','no',2026,'open','',1);
CREATE TABLE case_store (
	version INTEGER NOT NULL, 
	since VARCHAR(27) NOT NULL, 
	PRIMARY KEY (version)
);
INSERT INTO "case_store" VALUES(2,'2026-03-15T12:00:00.000000Z');
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
	lines INTEGER NOT NULL, 
	vehicle_key TEXT NOT NULL, 
	source TEXT, 
	source_case TEXT
);
INSERT INTO "cases" VALUES(1,'water-pump','digest-1','owner','cured','2024-04-01T09:00:00.000000Z','2024-04-03T09:00:00.000000Z','Van 7','','pump-fuse',1,'pump-fuse','2024-04-03T09:00:00.000000Z',2,0,2,'van 7',NULL,NULL);
INSERT INTO "cases" VALUES(2,'water-pump','digest-1','owner','referred','2025-04-01T09:00:00.000000Z','2025-04-03T09:00:00.000000Z','van 7','workshop','',1,'pump-worn','2025-04-03T09:00:00.000000Z',2,0,2,'van 7',NULL,NULL);
INSERT INTO "cases" VALUES(3,'water-pump','digest-1','owner','referred','2025-04-01T09:00:00.000000Z','2025-04-01T10:00:00.000000Z','','workshop','',0,'',NULL,0,0,1,'',NULL,NULL);
INSERT INTO "cases" VALUES(4,'water-pump','digest-1','owner','referred','2025-04-01T09:00:00.000000Z','2025-04-01T10:00:00.000000Z','','workshop','',0,'',NULL,0,0,0,'',NULL,NULL);
INSERT INTO "cases" VALUES(5,'heater-no-fire','digest-1','owner','stopped','2026-04-01T09:00:00.000000Z','2026-04-01T10:00:00.000000Z','Überland 3','gas-escape','',0,'',NULL,0,0,2,'überland 3',NULL,NULL);
INSERT INTO "cases" VALUES(6,'heater-no-fire','digest-1','owner','open','2026-04-01T09:00:00.000000Z','2026-04-03T09:00:00.000000Z','Überland 3','','',1,'not-listed','2026-04-03T09:00:00.000000Z',1,0,1,'überland 3',NULL,NULL);
INSERT INTO "cases" VALUES(7,'heater-no-fire','digest-1','owner','left-off','2026-04-01T09:00:00.000000Z','2026-04-01T10:00:00.000000Z','blue van','','',0,'',NULL,0,0,2,'blue van',NULL,NULL);
CREATE TABLE cause_sums (
	symptom TEXT NOT NULL, 
	cause TEXT NOT NULL, 
	year INTEGER NOT NULL, 
	ending TEXT NOT NULL, 
	origin TEXT NOT NULL, 
	total INTEGER NOT NULL, 
	PRIMARY KEY (symptom, cause, year, ending, origin)
);
INSERT INTO "cause_sums" VALUES('water-pump','pump-fuse',2024,'cured','',1);
INSERT INTO "cause_sums" VALUES('water-pump','pump-worn',2025,'referred','',1);
INSERT INTO "cause_sums" VALUES('heater-no-fire','not-listed',2026,'open','',1);
INSERT INTO "cause_sums" VALUES('step-stuck','step-fuse',2025,'referred','355f915d6de58d74',1);
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
INSERT INTO "entries" VALUES(5,2,'2026-04-01T09:02:00.000000Z','danger','',NULL,NULL,NULL,0);
INSERT INTO "entries" VALUES(6,1,'2026-04-01T09:01:00.000000Z','finding','smell-of-gas','no',NULL,NULL,0);
INSERT INTO "entries" VALUES(7,1,'2026-04-01T09:01:00.000000Z','finding','smell-of-gas','no',NULL,NULL,0);
INSERT INTO "entries" VALUES(7,2,'2026-04-01T09:02:00.000000Z','back','1',NULL,NULL,NULL,0);
CREATE TABLE merged (
	origin VARCHAR(16) NOT NULL, 
	number INTEGER NOT NULL, 
	digest TEXT NOT NULL, 
	received VARCHAR(27) NOT NULL, 
	PRIMARY KEY (origin)
);
INSERT INTO "merged" VALUES('355f915d6de58d74',1,'613c6ee42be69d4b375f28375d2a3c303b0ab6b35ca624522768c68ee5e62426','2026-04-05T09:00:00.000000Z');
CREATE TABLE store_identity (
	origin VARCHAR(16) NOT NULL, 
	exports INTEGER NOT NULL, 
	PRIMARY KEY (origin)
);
INSERT INTO "store_identity" VALUES('c6c117dff722a5dd',0);
CREATE TABLE unconfirmed_sums (
	symptom TEXT NOT NULL, 
	year INTEGER NOT NULL, 
	ending TEXT NOT NULL, 
	origin TEXT NOT NULL, 
	total INTEGER NOT NULL, 
	PRIMARY KEY (symptom, year, ending, origin)
);
INSERT INTO "unconfirmed_sums" VALUES('water-pump',2024,'cured','',0);
INSERT INTO "unconfirmed_sums" VALUES('water-pump',2025,'referred','',2);
INSERT INTO "unconfirmed_sums" VALUES('heater-no-fire',2026,'stopped','',1);
CREATE INDEX cases_by_opened ON cases (opened, id);
CREATE INDEX cases_by_vehicle ON cases (vehicle_key, source, opened, id);
CREATE UNIQUE INDEX cases_by_source ON cases (source, source_case);
CREATE INDEX cases_unconfirmed ON cases (confirmed, asked_outcome, opened, id);
CREATE INDEX cases_by_changed ON cases (changed);
CREATE INDEX cases_by_state ON cases (state, changed, id);
CREATE INDEX cases_by_symptom ON cases (symptom, opened, id);
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('cases',7);
COMMIT;
