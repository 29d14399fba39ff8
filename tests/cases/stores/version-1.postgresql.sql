CREATE TABLE answer_sums (
    symptom text NOT NULL,
    cause text NOT NULL,
    check_id text NOT NULL,
    answer text NOT NULL,
    year integer NOT NULL,
    ending text NOT NULL,
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
    lines integer NOT NULL
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
ALTER TABLE ONLY cases ALTER COLUMN id SET DEFAULT nextval('cases_id_seq'::regclass);
INSERT INTO answer_sums VALUES ('water-pump', 'pump-fuse', 'pump-sound', 'silent', 2024, 'cured', 1);
INSERT INTO answer_sums VALUES ('water-pump', 'pump-fuse', 'pump-volts', 'low', 2024, 'cured', 1);
INSERT INTO answer_sums VALUES ('water-pump', 'pump-worn', 'pump-sound', 'runs', 2025, 'referred', 1);
INSERT INTO answer_sums VALUES ('heater-no-fire', 'not-listed', 'smell-of-gas', 'no', 2026, 'open', 1);
INSERT INTO case_store VALUES (1, '2026-03-01T12:00:00.000000Z');
INSERT INTO cases VALUES (1, 'water-pump', 'digest-1', 'owner', 'cured', '2024-04-01T09:00:00.000000Z', '2024-04-03T09:00:00.000000Z', 'Van 7', '', 'pump-fuse', true, 'pump-fuse', '2024-04-03T09:00:00.000000Z', 2, false, 2);
INSERT INTO cases VALUES (2, 'water-pump', 'digest-1', 'owner', 'referred', '2025-04-01T09:00:00.000000Z', '2025-04-03T09:00:00.000000Z', 'van 7', 'workshop', '', true, 'pump-worn', '2025-04-03T09:00:00.000000Z', 2, false, 2);
INSERT INTO cases VALUES (3, 'water-pump', 'digest-1', 'owner', 'referred', '2025-04-01T09:00:00.000000Z', '2025-04-01T10:00:00.000000Z', '', 'workshop', '', false, '', NULL, 0, false, 1);
INSERT INTO cases VALUES (4, 'water-pump', 'digest-1', 'owner', 'referred', '2025-04-01T09:00:00.000000Z', '2025-04-01T10:00:00.000000Z', '', 'workshop', '', false, '', NULL, 0, false, 0);
INSERT INTO cases VALUES (5, 'heater-no-fire', 'digest-1', 'owner', 'stopped', '2026-04-01T09:00:00.000000Z', '2026-04-01T10:00:00.000000Z', 'Überland 3', 'gas-escape', '', false, '', NULL, 0, false, 2);
INSERT INTO cases VALUES (6, 'heater-no-fire', 'digest-1', 'owner', 'open', '2026-04-01T09:00:00.000000Z', '2026-04-03T09:00:00.000000Z', 'Überland 3', '', '', true, 'not-listed', '2026-04-03T09:00:00.000000Z', 1, false, 1);
INSERT INTO cases VALUES (7, 'heater-no-fire', 'digest-1', 'owner', 'left-off', '2026-04-01T09:00:00.000000Z', '2026-04-01T10:00:00.000000Z', 'blue van', '', '', false, '', NULL, 0, false, 2);
INSERT INTO cause_sums VALUES ('water-pump', 'pump-fuse', 2024, 'cured', 1);
INSERT INTO cause_sums VALUES ('water-pump', 'pump-worn', 2025, 'referred', 1);
INSERT INTO cause_sums VALUES ('heater-no-fire', 'not-listed', 2026, 'open', 1);
INSERT INTO entries VALUES (1, 1, '2024-04-01T09:01:00.000000Z', 'finding', 'pump-sound', 'silent', NULL, NULL, false);
INSERT INTO entries VALUES (1, 2, '2024-04-01T09:02:00.000000Z', 'finding', 'pump-volts', 'low', 10.9, 0.1, false);
INSERT INTO entries VALUES (2, 1, '2025-04-01T09:01:00.000000Z', 'finding', 'pump-sound', 'silent', NULL, NULL, false);
INSERT INTO entries VALUES (2, 2, '2025-04-01T09:02:00.000000Z', 'finding', 'pump-sound', 'runs', NULL, NULL, false);
INSERT INTO entries VALUES (3, 1, '2025-04-01T09:01:00.000000Z', 'finding', 'pump-sound', 'not-sure', NULL, NULL, false);
INSERT INTO entries VALUES (5, 1, '2026-04-01T09:01:00.000000Z', 'finding', 'smell-of-gas', 'yes', NULL, NULL, false);
INSERT INTO entries VALUES (5, 2, '2026-04-01T09:02:00.000000Z', 'danger', '', '', NULL, NULL, false);
INSERT INTO entries VALUES (6, 1, '2026-04-01T09:01:00.000000Z', 'finding', 'smell-of-gas', 'no', NULL, NULL, false);
INSERT INTO entries VALUES (7, 1, '2026-04-01T09:01:00.000000Z', 'finding', 'smell-of-gas', 'no', NULL, NULL, false);
INSERT INTO entries VALUES (7, 2, '2026-04-01T09:02:00.000000Z', 'back', '1', NULL, NULL, NULL, false);
SELECT pg_catalog.setval('cases_id_seq', 7, true);
ALTER TABLE ONLY answer_sums
    ADD CONSTRAINT answer_sums_pkey PRIMARY KEY (symptom, cause, check_id, answer, year, ending);
ALTER TABLE ONLY case_store
    ADD CONSTRAINT case_store_pkey PRIMARY KEY (version);
ALTER TABLE ONLY cases
    ADD CONSTRAINT cases_pkey PRIMARY KEY (id);
ALTER TABLE ONLY cause_sums
    ADD CONSTRAINT cause_sums_pkey PRIMARY KEY (symptom, cause, year, ending);
ALTER TABLE ONLY entries
    ADD CONSTRAINT entries_pkey PRIMARY KEY (case_id, number);
CREATE INDEX cases_by_state ON cases USING btree (state, changed, id);
CREATE INDEX cases_unconfirmed ON cases USING btree (confirmed, asked_outcome, opened, id);
ALTER TABLE ONLY entries
    ADD CONSTRAINT entries_case_id_fkey FOREIGN KEY (case_id) REFERENCES cases(id);
