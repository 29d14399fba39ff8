CREATE TABLE answer_sums (
    symptom text NOT NULL,
    cause text NOT NULL,
    check_id text NOT NULL,
    answer text NOT NULL,
    year integer NOT NULL,
    ending text NOT NULL,
    origin text NOT NULL,
    total integer NOT NULL
);
CREATE TABLE case_store (
    version integer NOT NULL,
    since character varying(27) NOT NULL
);
CREATE TABLE cases (
    id integer NOT NULL,
    symptom text NOT NULL,
    tree_digest text NOT NULL,
    role text NOT NULL,
    state text NOT NULL,
    opened character varying(27) NOT NULL,
    changed character varying(27) NOT NULL,
    vehicle text NOT NULL,
    referral text NOT NULL,
    points_to text NOT NULL,
    confirmed boolean NOT NULL,
    cause text NOT NULL,
    confirmed_on character varying(27),
    confirmed_lines integer NOT NULL,
    asked_outcome boolean NOT NULL,
    lines integer NOT NULL,
    vehicle_key text NOT NULL,
    source text,
    source_case text
);
CREATE SEQUENCE cases_id_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE cases_id_seq OWNED BY cases.id;
CREATE TABLE cause_sums (
    symptom text NOT NULL,
    cause text NOT NULL,
    year integer NOT NULL,
    ending text NOT NULL,
    origin text NOT NULL,
    total integer NOT NULL
);
CREATE TABLE entries (
    case_id integer NOT NULL,
    number integer NOT NULL,
    "time" character varying(27) NOT NULL,
    kind text NOT NULL,
    subject text NOT NULL,
    answer text,
    value double precision,
    uncertainty double precision,
    ahead boolean NOT NULL
);
CREATE TABLE merged (
    origin character varying(16) NOT NULL,
    number integer NOT NULL,
    digest text NOT NULL,
    received character varying(27) NOT NULL
);
CREATE TABLE store_identity (
    origin character varying(16) NOT NULL,
    exports integer NOT NULL
);
CREATE TABLE unconfirmed_sums (
    symptom text NOT NULL,
    year integer NOT NULL,
    ending text NOT NULL,
    origin text NOT NULL,
    total integer NOT NULL
);
ALTER TABLE ONLY cases ALTER COLUMN id SET DEFAULT nextval('cases_id_seq'::regclass);
INSERT INTO answer_sums VALUES ('water-pump', 'pump-fuse', 'pump-sound', 'silent', 2024, 'cured', '', 1);
INSERT INTO answer_sums VALUES ('water-pump', 'pump-fuse', 'pump-volts', 'low', 2024, 'cured', '', 1);
INSERT INTO answer_sums VALUES ('water-pump', 'pump-worn', 'pump-sound', 'runs', 2025, 'referred', '', 1);
INSERT INTO answer_sums VALUES ('heater-no-fire', 'not-listed', 'smell-of-gas', 'no', 2026, 'open', '', 1);
INSERT INTO case_store VALUES (2, '2026-03-15T12:00:00.000000Z');
INSERT INTO cases VALUES (1, 'water-pump', 'digest-1', 'owner', 'cured', '2024-04-01T09:00:00.000000Z', '2024-04-03T09:00:00.000000Z', 'Van 7', '', 'pump-fuse', true, 'pump-fuse', '2024-04-03T09:00:00.000000Z', 2, false, 2, 'van 7', NULL, NULL);
INSERT INTO cases VALUES (2, 'water-pump', 'digest-1', 'owner', 'referred', '2025-04-01T09:00:00.000000Z', '2025-04-03T09:00:00.000000Z', 'van 7', 'workshop', '', true, 'pump-worn', '2025-04-03T09:00:00.000000Z', 2, false, 2, 'van 7', NULL, NULL);
INSERT INTO cases VALUES (3, 'water-pump', 'digest-1', 'owner', 'referred', '2025-04-01T09:00:00.000000Z', '2025-04-01T10:00:00.000000Z', '', 'workshop', '', false, '', NULL, 0, false, 1, '', NULL, NULL);
INSERT INTO cases VALUES (4, 'water-pump', 'digest-1', 'owner', 'referred', '2025-04-01T09:00:00.000000Z', '2025-04-01T10:00:00.000000Z', '', 'workshop', '', false, '', NULL, 0, false, 0, '', NULL, NULL);
INSERT INTO cases VALUES (5, 'heater-no-fire', 'digest-1', 'owner', 'stopped', '2026-04-01T09:00:00.000000Z', '2026-04-01T10:00:00.000000Z', 'Überland 3', 'gas-escape', '', false, '', NULL, 0, false, 2, 'überland 3', NULL, NULL);
INSERT INTO cases VALUES (6, 'heater-no-fire', 'digest-1', 'owner', 'open', '2026-04-01T09:00:00.000000Z', '2026-04-03T09:00:00.000000Z', 'Überland 3', '', '', true, 'not-listed', '2026-04-03T09:00:00.000000Z', 1, false, 1, 'überland 3', NULL, NULL);
INSERT INTO cases VALUES (7, 'heater-no-fire', 'digest-1', 'owner', 'left-off', '2026-04-01T09:00:00.000000Z', '2026-04-01T10:00:00.000000Z', 'blue van', '', '', false, '', NULL, 0, false, 2, 'blue van', NULL, NULL);
INSERT INTO cause_sums VALUES ('water-pump', 'pump-fuse', 2024, 'cured', '', 1);
INSERT INTO cause_sums VALUES ('water-pump', 'pump-worn', 2025, 'referred', '', 1);
INSERT INTO cause_sums VALUES ('heater-no-fire', 'not-listed', 2026, 'open', '', 1);
INSERT INTO cause_sums VALUES ('step-stuck', 'step-fuse', 2025, 'referred', '355f915d6de58d74', 1);
INSERT INTO entries VALUES (1, 1, '2024-04-01T09:01:00.000000Z', 'finding', 'pump-sound', 'silent', NULL, NULL, false);
INSERT INTO entries VALUES (1, 2, '2024-04-01T09:02:00.000000Z', 'finding', 'pump-volts', 'low', 10.9, 0.1, false);
INSERT INTO entries VALUES (2, 1, '2025-04-01T09:01:00.000000Z', 'finding', 'pump-sound', 'silent', NULL, NULL, false);
INSERT INTO entries VALUES (2, 2, '2025-04-01T09:02:00.000000Z', 'finding', 'pump-sound', 'runs', NULL, NULL, false);
INSERT INTO entries VALUES (3, 1, '2025-04-01T09:01:00.000000Z', 'finding', 'pump-sound', 'not-sure', NULL, NULL, false);
INSERT INTO entries VALUES (5, 1, '2026-04-01T09:01:00.000000Z', 'finding', 'smell-of-gas', 'yes', NULL, NULL, false);
INSERT INTO entries VALUES (5, 2, '2026-04-01T09:02:00.000000Z', 'danger', '', NULL, NULL, NULL, false);
INSERT INTO entries VALUES (6, 1, '2026-04-01T09:01:00.000000Z', 'finding', 'smell-of-gas', 'no', NULL, NULL, false);
INSERT INTO entries VALUES (7, 1, '2026-04-01T09:01:00.000000Z', 'finding', 'smell-of-gas', 'no', NULL, NULL, false);
INSERT INTO entries VALUES (7, 2, '2026-04-01T09:02:00.000000Z', 'back', '1', NULL, NULL, NULL, false);
INSERT INTO merged VALUES ('355f915d6de58d74', 1, '613c6ee42be69d4b375f28375d2a3c303b0ab6b35ca624522768c68ee5e62426', '2026-04-05T09:00:00.000000Z');
INSERT INTO store_identity VALUES ('e466b73e26467554', 0);
INSERT INTO unconfirmed_sums VALUES ('water-pump', 2024, 'cured', '', 0);
INSERT INTO unconfirmed_sums VALUES ('water-pump', 2025, 'referred', '', 2);
INSERT INTO unconfirmed_sums VALUES ('heater-no-fire', 2026, 'stopped', '', 1);
SELECT pg_catalog.setval('cases_id_seq', 7, true);
ALTER TABLE ONLY answer_sums
    ADD CONSTRAINT answer_sums_pkey PRIMARY KEY (symptom, cause, check_id, answer, year, ending, origin);
ALTER TABLE ONLY case_store
    ADD CONSTRAINT case_store_pkey PRIMARY KEY (version);
ALTER TABLE ONLY cases
    ADD CONSTRAINT cases_pkey PRIMARY KEY (id);
ALTER TABLE ONLY cause_sums
    ADD CONSTRAINT cause_sums_pkey PRIMARY KEY (symptom, cause, year, ending, origin);
ALTER TABLE ONLY entries
    ADD CONSTRAINT entries_pkey PRIMARY KEY (case_id, number);
ALTER TABLE ONLY merged
    ADD CONSTRAINT merged_pkey PRIMARY KEY (origin);
ALTER TABLE ONLY store_identity
    ADD CONSTRAINT store_identity_pkey PRIMARY KEY (origin);
ALTER TABLE ONLY unconfirmed_sums
    ADD CONSTRAINT unconfirmed_sums_pkey PRIMARY KEY (symptom, year, ending, origin);
CREATE INDEX cases_by_changed ON cases USING btree (changed);
CREATE INDEX cases_by_opened ON cases USING btree (opened, id);
CREATE UNIQUE INDEX cases_by_source ON cases USING btree (source, source_case);
CREATE INDEX cases_by_state ON cases USING btree (state, changed, id);
CREATE INDEX cases_by_symptom ON cases USING btree (symptom, opened, id);
CREATE INDEX cases_by_vehicle ON cases USING btree (vehicle_key, source, opened, id);
CREATE INDEX cases_unconfirmed ON cases USING btree (confirmed, asked_outcome, opened, id);
ALTER TABLE ONLY entries
    ADD CONSTRAINT entries_case_id_fkey FOREIGN KEY (case_id) REFERENCES cases(id);
