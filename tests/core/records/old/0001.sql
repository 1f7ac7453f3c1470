-- A small logbook as step 0001 left it. Frozen: it stands for the files of people who never upgraded since.
PRAGMA application_id = 1346981442;
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
CREATE TABLE customer (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	contact TEXT NOT NULL, 
	CONSTRAINT pk_customer PRIMARY KEY (id), 
	CONSTRAINT uq_customer_name_contact UNIQUE (name, contact)
)
 STRICT

;
INSERT INTO "customer" VALUES(1,'Hill-climb club','gate 2');
INSERT INTO "customer" VALUES(2,'Brackwater Hill-climb Club','gate 2');
CREATE TABLE gauge (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	name_key TEXT NOT NULL, 
	use TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	resolution REAL NOT NULL, 
	stated_error REAL NOT NULL, 
	calibrated_on TEXT, 
	interval_months INTEGER, 
	CONSTRAINT pk_gauge PRIMARY KEY (id), 
	CONSTRAINT uq_gauge_name_key UNIQUE (name_key), 
	CONSTRAINT ck_gauge_errors CHECK (resolution >= 0 AND stated_error >= 0), 
	CONSTRAINT ck_gauge_interval CHECK (interval_months > 0)
)
 STRICT

;
INSERT INTO "gauge" VALUES(1,'dial 1','dial 1','dial','length',0.01,0.005,'2026-01-05',12);
INSERT INTO "gauge" VALUES(2,'beam wrench 2','beam wrench 2','torque','torque',0.05,0.05,NULL,NULL);
CREATE TABLE job (
	id INTEGER NOT NULL, 
	number TEXT NOT NULL, 
	number_key TEXT NOT NULL, 
	unit_id INTEGER NOT NULL, 
	customer_id INTEGER NOT NULL, 
	revision_id INTEGER NOT NULL, 
	vehicle TEXT NOT NULL, 
	asked_for TEXT NOT NULL, 
	ring_gear_teeth INTEGER NOT NULL, 
	pinion_teeth INTEGER NOT NULL, 
	tag_ratio REAL, 
	is_limited_slip INTEGER NOT NULL, 
	search_text TEXT NOT NULL, 
	CONSTRAINT pk_job PRIMARY KEY (id), 
	CONSTRAINT uq_job_number_key UNIQUE (number_key), 
	CONSTRAINT ck_job_teeth CHECK (pinion_teeth > 0 AND ring_gear_teeth > 0), 
	CONSTRAINT ck_job_tag_ratio CHECK (tag_ratio > 0), 
	CONSTRAINT ck_job_is_limited_slip CHECK (is_limited_slip IN (0, 1)), 
	CONSTRAINT fk_job_unit_id FOREIGN KEY(unit_id) REFERENCES unit (id), 
	CONSTRAINT fk_job_customer_id FOREIGN KEY(customer_id) REFERENCES customer (id), 
	CONSTRAINT fk_job_revision_id FOREIGN KEY(revision_id) REFERENCES spec_revision (id)
)
 STRICT

;
INSERT INTO "job" VALUES(1,'2407','2407',1,2,1,'special, rear axle','Quiet.
Documented.',43,11,3.91,1,'2407
k-1183
brackwater hill-climb club
special, rear axle');
INSERT INTO "job" VALUES(2,'2411','2411',1,2,2,'special, rear axle','',43,11,NULL,1,'2411
k-1183
brackwater hill-climb club
special, rear axle');
CREATE TABLE job_event (
	id INTEGER NOT NULL, 
	job_id INTEGER NOT NULL, 
	what TEXT NOT NULL, 
	at TEXT NOT NULL, 
	person TEXT NOT NULL, 
	detail TEXT NOT NULL, 
	CONSTRAINT pk_job_event PRIMARY KEY (id), 
	CONSTRAINT ck_job_event_what CHECK (what IN ('opened', 'signed', 'reopened', 'corrected', 'sheet')), 
	CONSTRAINT fk_job_event_job_id FOREIGN KEY(job_id) REFERENCES job (id)
)
 STRICT

;
INSERT INTO "job_event" VALUES(1,1,'opened','2026-01-21T08:00:00.000000+00:00','Tam Ollerby','{}');
INSERT INTO "job_event" VALUES(2,1,'signed','2026-01-22T08:00:00.000000+00:00','Tam Ollerby','{"revision": "1"}');
INSERT INTO "job_event" VALUES(3,1,'sheet','2026-01-22T08:00:00.000000+00:00','Tam Ollerby','{"copy": "customer", "fingerprint": "abababababababababababababababababababababababababababababababab", "revision": "1"}');
INSERT INTO "job_event" VALUES(4,1,'reopened','2026-02-05T08:00:00.000000+00:00','Tam Ollerby','{"reason": "name misspelt", "revision": "2"}');
INSERT INTO "job_event" VALUES(5,1,'corrected','2026-02-05T08:00:00.000000+00:00','Tam Ollerby','{"field": "customer", "new": "Brackwater Hill-climb Club", "old": "Hill-climb club", "reason": "misspelt"}');
INSERT INTO "job_event" VALUES(6,1,'signed','2026-02-05T08:00:00.000000+00:00','Tam Ollerby','{"revision": "2"}');
INSERT INTO "job_event" VALUES(7,2,'opened','2026-03-02T08:00:00.000000+00:00','Łucja Ströß','{}');
CREATE TABLE person (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	name_key TEXT NOT NULL, 
	role TEXT NOT NULL, 
	CONSTRAINT pk_person PRIMARY KEY (id), 
	CONSTRAINT uq_person_name_key UNIQUE (name_key), 
	CONSTRAINT ck_person_role CHECK (role IN ('bench', 'owner'))
)
 STRICT

;
INSERT INTO "person" VALUES(1,'Tam Ollerby','tam ollerby','owner');
INSERT INTO "person" VALUES(2,'Łucja Ströß','łucja ströss','bench');
CREATE TABLE reading (
	id INTEGER NOT NULL, 
	job_id INTEGER NOT NULL, 
	stage TEXT NOT NULL, 
	entry TEXT NOT NULL, 
	position TEXT NOT NULL, 
	trial INTEGER NOT NULL, 
	value REAL, 
	text TEXT NOT NULL, 
	unit TEXT NOT NULL, 
	gauge_id INTEGER, 
	person TEXT NOT NULL, 
	taken_at TEXT NOT NULL, 
	source TEXT NOT NULL, 
	replaces INTEGER, 
	reason TEXT NOT NULL, 
	CONSTRAINT pk_reading PRIMARY KEY (id), 
	CONSTRAINT uq_reading_job_id_stage_entry_position_trial_id UNIQUE (job_id, stage, entry, position, trial, id), 
	CONSTRAINT uq_reading_replaces UNIQUE (replaces), 
	CONSTRAINT fk_reading_job_id_stage_entry_position_trial_replaces FOREIGN KEY(job_id, stage, entry, position, trial, replaces) REFERENCES reading (job_id, stage, entry, position, trial, id), 
	CONSTRAINT ck_reading_replaces CHECK (replaces < id), 
	CONSTRAINT ck_reading_trial CHECK (trial >= 0), 
	CONSTRAINT ck_reading_value CHECK ((value IS NULL OR value BETWEEN -1e9 AND 1e9)), 
	CONSTRAINT fk_reading_job_id FOREIGN KEY(job_id) REFERENCES job (id), 
	CONSTRAINT fk_reading_gauge_id FOREIGN KEY(gauge_id) REFERENCES gauge (id)
)
 STRICT

;
INSERT INTO "reading" VALUES(1,1,'teardown','found_backlash','at_000',0,0.14,'0.14','mm',1,'Łucja Ströß','2026-01-22T08:00:00.000000+00:00','typed',NULL,'');
INSERT INTO "reading" VALUES(2,1,'backlash','backlash','at_000',1,0.9,'.9','mm',1,'Łucja Ströß','2026-01-22T08:00:00.000000+00:00','typed',NULL,'');
INSERT INTO "reading" VALUES(3,1,'backlash','backlash','at_000',1,0.0762,'.003"','in',1,'Łucja Ströß','2026-01-22T08:00:00.000000+00:00','wedge',2,'slipped on the key');
INSERT INTO "reading" VALUES(4,1,'backlash','backlash','at_045',1,0.08,'0,08','mm',NULL,'Łucja Ströß','2026-01-22T08:00:00.000000+00:00','typed',NULL,'');
INSERT INTO "reading" VALUES(5,1,'backlash','backlash','at_045',1,NULL,'','',NULL,'Łucja Ströß','2026-01-22T08:00:00.000000+00:00','typed',4,'wrong place');
INSERT INTO "reading" VALUES(6,1,'teardown','oil','',0,NULL,'dark, <b>fine</b> paste & Ж ⌀ 中 🛠','',NULL,'Tam Ollerby','2026-01-22T08:00:00.000000+00:00','typed',NULL,'');
INSERT INTO "reading" VALUES(7,2,'teardown','found_backlash','at_000',0,0.12,'0.12','mm',1,'Łucja Ströß','2026-03-02T08:00:00.000000+00:00','typed',NULL,'');
CREATE TABLE ring (
	id INTEGER NOT NULL, 
	place TEXT NOT NULL, 
	nominal_mm REAL NOT NULL, 
	measured_mm REAL, 
	count INTEGER NOT NULL, 
	CONSTRAINT pk_ring PRIMARY KEY (id), 
	CONSTRAINT ck_ring_thickness CHECK (nominal_mm > 0 AND (measured_mm IS NULL OR measured_mm > 0)), 
	CONSTRAINT ck_ring_count CHECK (count >= 0)
)
 STRICT

;
INSERT INTO "ring" VALUES(1,'C3',2.52,2.53,2);
INSERT INTO "ring" VALUES(2,'',2.45,NULL,1);
CREATE TABLE shop (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	address TEXT NOT NULL, 
	units TEXT NOT NULL, 
	CONSTRAINT pk_shop PRIMARY KEY (id), 
	CONSTRAINT ck_shop_one CHECK (id = 1), 
	CONSTRAINT ck_shop_units CHECK (units IN ('metric', 'inch'))
)
 STRICT

;
INSERT INTO "shop" VALUES(1,'Back-lane axles','Lane 1
Town','metric');
CREATE TABLE spec_card (
	id INTEGER NOT NULL, 
	family TEXT NOT NULL, 
	family_key TEXT NOT NULL, 
	CONSTRAINT pk_spec_card PRIMARY KEY (id), 
	CONSTRAINT uq_spec_card_family_key UNIQUE (family_key)
)
 STRICT

;
INSERT INTO "spec_card" VALUES(1,'Orrin B','orrin b');
CREATE TABLE spec_revision (
	id INTEGER NOT NULL, 
	card_id INTEGER NOT NULL, 
	revision INTEGER NOT NULL, 
	made_at TEXT NOT NULL, 
	made_by TEXT NOT NULL, 
	CONSTRAINT pk_spec_revision PRIMARY KEY (id), 
	CONSTRAINT uq_spec_revision_card_id_revision UNIQUE (card_id, revision), 
	CONSTRAINT ck_spec_revision_revision CHECK (revision > 0), 
	CONSTRAINT fk_spec_revision_card_id FOREIGN KEY(card_id) REFERENCES spec_card (id)
)
 STRICT

;
INSERT INTO "spec_revision" VALUES(1,1,1,'2026-03-02T08:00:00.000000+00:00','Tam Ollerby');
INSERT INTO "spec_revision" VALUES(2,1,2,'2026-03-02T08:00:00.000000+00:00','Tam Ollerby');
CREATE TABLE spec_value (
	id INTEGER NOT NULL, 
	revision_id INTEGER NOT NULL, 
	"key" TEXT NOT NULL, 
	what TEXT NOT NULL, 
	low REAL, 
	high REAL, 
	value REAL, 
	low_text TEXT NOT NULL, 
	high_text TEXT NOT NULL, 
	text TEXT NOT NULL, 
	unit TEXT NOT NULL, 
	source TEXT NOT NULL, 
	CONSTRAINT pk_spec_value PRIMARY KEY (id), 
	CONSTRAINT uq_spec_value_revision_id_what_key UNIQUE (revision_id, what, "key"), 
	CONSTRAINT ck_spec_value_what CHECK (what IN ('limit', 'fact')), 
	CONSTRAINT ck_spec_value_order CHECK (low <= high), 
	CONSTRAINT ck_spec_value_numbers CHECK ((low IS NULL OR low BETWEEN -1e9 AND 1e9) AND (high IS NULL OR high BETWEEN -1e9 AND 1e9) AND (value IS NULL OR value BETWEEN -1e9 AND 1e9)), 
	CONSTRAINT fk_spec_value_revision_id FOREIGN KEY(revision_id) REFERENCES spec_revision (id)
)
 STRICT

;
INSERT INTO "spec_value" VALUES(1,1,'backlash','limit',0.06,0.1,NULL,'0.06','0.10 mm','','mm','shop practice');
INSERT INTO "spec_value" VALUES(2,1,'ring_gear_side','fact',NULL,NULL,NULL,'','','left','','');
INSERT INTO "spec_value" VALUES(3,1,'fill_volume','fact',NULL,NULL,1.1,'','','1.1 L','l','maker''s manual');
INSERT INTO "spec_value" VALUES(4,2,'backlash','limit',0.06,0.12,NULL,'0.06 mm','0.12 mm','','mm','shop practice');
INSERT INTO "spec_value" VALUES(5,2,'ring_gear_side','fact',NULL,NULL,NULL,'','','left','','');
CREATE TABLE unit (
	id INTEGER NOT NULL, 
	serial TEXT NOT NULL, 
	serial_key TEXT NOT NULL, 
	CONSTRAINT pk_unit PRIMARY KEY (id), 
	CONSTRAINT uq_unit_serial_key UNIQUE (serial_key), 
	CONSTRAINT ck_unit_serial CHECK (serial_key <> '')
)
 STRICT

;
INSERT INTO "unit" VALUES(1,'K-1183','k1183');
CREATE INDEX ix_job_unit_id ON job (unit_id);
CREATE INDEX ix_job_revision_id ON job (revision_id);
CREATE INDEX ix_job_event_job_id ON job_event (job_id);
CREATE UNIQUE INDEX uq_reading_first ON reading (job_id, stage, entry, position, trial) WHERE replaces IS NULL;
CREATE TRIGGER tr_spec_revision_no_update BEFORE UPDATE ON spec_revision BEGIN SELECT RAISE(ABORT, 'spec_revision only grows'); END;
CREATE TRIGGER tr_spec_revision_no_delete BEFORE DELETE ON spec_revision BEGIN SELECT RAISE(ABORT, 'spec_revision only grows'); END;
CREATE TRIGGER tr_spec_revision_no_replace BEFORE INSERT ON spec_revision WHEN EXISTS (SELECT 1 FROM spec_revision WHERE id = NEW.id OR (card_id = NEW.card_id AND revision = NEW.revision)) BEGIN SELECT RAISE(ABORT, 'spec_revision only grows'); END;
CREATE TRIGGER tr_spec_value_no_update BEFORE UPDATE ON spec_value BEGIN SELECT RAISE(ABORT, 'spec_value only grows'); END;
CREATE TRIGGER tr_spec_value_no_delete BEFORE DELETE ON spec_value BEGIN SELECT RAISE(ABORT, 'spec_value only grows'); END;
CREATE TRIGGER tr_spec_value_no_replace BEFORE INSERT ON spec_value WHEN EXISTS (SELECT 1 FROM spec_value WHERE id = NEW.id OR (revision_id = NEW.revision_id AND what = NEW.what AND key = NEW.key)) BEGIN SELECT RAISE(ABORT, 'spec_value only grows'); END;
CREATE TRIGGER tr_job_event_no_update BEFORE UPDATE ON job_event BEGIN SELECT RAISE(ABORT, 'job_event only grows'); END;
CREATE TRIGGER tr_job_event_no_delete BEFORE DELETE ON job_event BEGIN SELECT RAISE(ABORT, 'job_event only grows'); END;
CREATE TRIGGER tr_job_event_no_replace BEFORE INSERT ON job_event WHEN EXISTS (SELECT 1 FROM job_event WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'job_event only grows'); END;
CREATE TRIGGER tr_reading_no_update BEFORE UPDATE ON reading BEGIN SELECT RAISE(ABORT, 'reading only grows'); END;
CREATE TRIGGER tr_reading_no_delete BEFORE DELETE ON reading BEGIN SELECT RAISE(ABORT, 'reading only grows'); END;
CREATE TRIGGER tr_reading_no_replace BEFORE INSERT ON reading WHEN EXISTS (SELECT 1 FROM reading WHERE id = NEW.id OR replaces = NEW.replaces OR (NEW.replaces IS NULL AND replaces IS NULL AND job_id = NEW.job_id AND stage = NEW.stage AND entry = NEW.entry AND position = NEW.position AND trial = NEW.trial)) BEGIN SELECT RAISE(ABORT, 'reading only grows'); END;
CREATE TRIGGER tr_spec_value_pinned BEFORE INSERT ON spec_value WHEN EXISTS (SELECT 1 FROM job WHERE revision_id = NEW.revision_id) BEGIN SELECT RAISE(ABORT, 'a job is pinned to this revision'); END;
COMMIT;
