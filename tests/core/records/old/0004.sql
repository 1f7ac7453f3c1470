-- A small logbook as step 0004 left it. Frozen: it stands for the files of people who never upgraded since.
PRAGMA application_id = 1346981442;
BEGIN TRANSACTION;
CREATE TABLE advised (
	id INTEGER NOT NULL, 
	job_id INTEGER NOT NULL, 
	stage TEXT NOT NULL, 
	trial INTEGER NOT NULL, 
	ring_gear_side_mm REAL NOT NULL, 
	opposite_side_mm REAL NOT NULL, 
	places TEXT NOT NULL, 
	chance REAL NOT NULL, 
	expected REAL NOT NULL, 
	low REAL NOT NULL, 
	high REAL NOT NULL, 
	person TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_advised PRIMARY KEY (id), 
	CONSTRAINT ck_advised_trial CHECK (trial >= 1), 
	CONSTRAINT ck_advised_thickness CHECK (ring_gear_side_mm BETWEEN 0 AND 1e9 AND opposite_side_mm BETWEEN 0 AND 1e9), 
	CONSTRAINT ck_advised_chance CHECK (chance BETWEEN 0 AND 1), 
	CONSTRAINT ck_advised_order CHECK (low <= expected AND expected <= high), 
	CONSTRAINT ck_advised_numbers CHECK (low BETWEEN -1e9 AND 1e9 AND high BETWEEN -1e9 AND 1e9), 
	CONSTRAINT fk_advised_job_id FOREIGN KEY(job_id) REFERENCES job (id)
)
 STRICT

;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0004');
CREATE TABLE "customer" (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	contact TEXT NOT NULL, 
	uid TEXT NOT NULL, 
	CONSTRAINT pk_customer PRIMARY KEY (id), 
	CONSTRAINT uq_customer_name_contact UNIQUE (name, contact), 
	CONSTRAINT uq_customer_uid UNIQUE (uid)
)
 STRICT

;
INSERT INTO "customer" VALUES(1,'Hill-climb club','gate 2','eae7be54-50cb-5951-8a2a-22f3da7c683f');
INSERT INTO "customer" VALUES(2,'Brackwater Hill-climb Club','gate 2','c18b2a87-cf3c-5e21-a529-c5ae872af252');
CREATE TABLE "gauge" (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	name_key TEXT NOT NULL, 
	use TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	resolution REAL NOT NULL, 
	stated_error REAL NOT NULL, 
	interval_months INTEGER, 
	uid TEXT NOT NULL, 
	is_retired INTEGER NOT NULL, 
	version INTEGER NOT NULL, 
	CONSTRAINT pk_gauge PRIMARY KEY (id), 
	CONSTRAINT uq_gauge_uid UNIQUE (uid), 
	CONSTRAINT uq_gauge_name_key UNIQUE (name_key), 
	CONSTRAINT ck_gauge_interval CHECK (interval_months > 0), 
	CONSTRAINT ck_gauge_errors CHECK (resolution >= 0 AND stated_error >= 0), 
	CONSTRAINT ck_gauge_is_retired CHECK (is_retired IN (0, 1))
)
 STRICT

;
INSERT INTO "gauge" VALUES(1,'dial 1','dial 1','dial','length',0.01,0.005,12,'0668b3f5-7215-5c83-bca7-4a448d7dec64',0,1);
INSERT INTO "gauge" VALUES(2,'beam wrench 2','beam wrench 2','torque','torque',0.05,0.05,NULL,'bc7ea99f-2749-5fea-8eb8-8830cd66a0ab',0,1);
CREATE TABLE gauge_check (
	id INTEGER NOT NULL, 
	gauge_id INTEGER NOT NULL, 
	what TEXT NOT NULL, 
	at TEXT NOT NULL, 
	value REAL, 
	is_good INTEGER NOT NULL, 
	person TEXT NOT NULL, 
	note TEXT NOT NULL, 
	CONSTRAINT pk_gauge_check PRIMARY KEY (id), 
	CONSTRAINT ck_gauge_check_what CHECK (what IN ('calibration', 'zero')), 
	CONSTRAINT ck_gauge_check_is_good CHECK (is_good IN (0, 1)), 
	CONSTRAINT fk_gauge_check_gauge_id FOREIGN KEY(gauge_id) REFERENCES gauge (id)
)
 STRICT

;
INSERT INTO "gauge_check" VALUES(1,1,'calibration','2026-01-05',NULL,1,'','');
CREATE TABLE "job" (
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
	uid TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	CONSTRAINT pk_job PRIMARY KEY (id), 
	CONSTRAINT fk_job_revision_id FOREIGN KEY(revision_id) REFERENCES spec_revision (id), 
	CONSTRAINT fk_job_customer_id FOREIGN KEY(customer_id) REFERENCES customer (id), 
	CONSTRAINT uq_job_number_key UNIQUE (number_key), 
	CONSTRAINT ck_job_is_limited_slip CHECK (is_limited_slip IN (0, 1)), 
	CONSTRAINT ck_job_tag_ratio CHECK (tag_ratio > 0), 
	CONSTRAINT fk_job_unit_id FOREIGN KEY(unit_id) REFERENCES unit (id), 
	CONSTRAINT ck_job_teeth CHECK (pinion_teeth > 0 AND ring_gear_teeth > 0), 
	CONSTRAINT uq_job_uid UNIQUE (uid)
)
 STRICT

;
INSERT INTO "job" VALUES(1,'2407','2407',1,2,1,'special, rear axle','Quiet.
Documented.',43,11,3.91,1,'97cf3db0-8b66-568a-a5bd-3a58aa1fd3e1',1);
INSERT INTO "job" VALUES(2,'2411','2411',1,2,2,'special, rear axle','',43,11,NULL,1,'106f0582-6206-5da6-965e-fc63ca809981',1);
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
CREATE TABLE "part" (
	id INTEGER NOT NULL, 
	uid TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	name TEXT NOT NULL, 
	place TEXT NOT NULL, 
	nominal_mm REAL, 
	count INTEGER NOT NULL, 
	reorder_level INTEGER NOT NULL, 
	is_retired INTEGER NOT NULL, 
	version INTEGER NOT NULL, 
	fits TEXT NOT NULL, 
	CONSTRAINT pk_part PRIMARY KEY (id), 
	CONSTRAINT ck_part_reorder_level CHECK (reorder_level >= 0), 
	CONSTRAINT ck_part_count CHECK (count >= 0), 
	CONSTRAINT ck_part_is_retired CHECK (is_retired IN (0, 1)), 
	CONSTRAINT uq_part_uid UNIQUE (uid), 
	CONSTRAINT ck_part_kind CHECK (kind IN ('ring', 'shim', 'spacer', 'seal', 'bearing')), 
	CONSTRAINT ck_part_thickness_known CHECK (nominal_mm IS NOT NULL OR kind NOT IN ('ring', 'shim', 'spacer')), 
	CONSTRAINT ck_part_thickness CHECK (nominal_mm > 0), 
	CONSTRAINT ck_part_fits CHECK (fits = '' OR (kind = 'shim' AND fits IN ('sides', 'pinion')))
)
 STRICT

;
INSERT INTO "part" VALUES(1,'214fd7c9-aec3-59b5-87c8-895644738a1a','ring','','C3',2.52,2,0,0,1,'');
INSERT INTO "part" VALUES(2,'00cca6ca-e679-5874-b7b6-b0d6e624b181','ring','','',2.45,1,0,0,1,'');
CREATE TABLE part_measure (
	id INTEGER NOT NULL, 
	part_id INTEGER NOT NULL, 
	round INTEGER NOT NULL, 
	place INTEGER NOT NULL, 
	mm REAL NOT NULL, 
	gauge_id INTEGER, 
	person TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_part_measure PRIMARY KEY (id), 
	CONSTRAINT uq_part_measure_part_id_round_place UNIQUE (part_id, round, place), 
	CONSTRAINT ck_part_measure_mm CHECK (mm > 0), 
	CONSTRAINT fk_part_measure_part_id FOREIGN KEY(part_id) REFERENCES part (id), 
	CONSTRAINT fk_part_measure_gauge_id FOREIGN KEY(gauge_id) REFERENCES gauge (id)
)
 STRICT

;
INSERT INTO "part_measure" VALUES(1,1,1,1,2.53,NULL,'','2026-11-25T13:12:07.393902+00:00');
CREATE TABLE part_move (
	id INTEGER NOT NULL, 
	part_id INTEGER NOT NULL, 
	what TEXT NOT NULL, 
	pieces INTEGER NOT NULL, 
	job_id INTEGER, 
	stage TEXT NOT NULL, 
	entry TEXT NOT NULL, 
	trial INTEGER NOT NULL, 
	person TEXT NOT NULL, 
	at TEXT NOT NULL, 
	reason TEXT NOT NULL, 
	CONSTRAINT pk_part_move PRIMARY KEY (id), 
	CONSTRAINT ck_part_move_what CHECK (what IN ('received', 'reserved', 'fitted', 'unfitted', 'returned', 'used', 'counted', 'scrapped')), 
	CONSTRAINT fk_part_move_part_id FOREIGN KEY(part_id) REFERENCES part (id), 
	CONSTRAINT fk_part_move_job_id FOREIGN KEY(job_id) REFERENCES job (id)
)
 STRICT

;
INSERT INTO "part_move" VALUES(1,1,'counted',2,NULL,'','',0,'','2026-11-25T13:12:07.393902+00:00','');
INSERT INTO "part_move" VALUES(2,2,'counted',1,NULL,'','',0,'','2026-11-25T13:12:07.393902+00:00','');
CREATE TABLE "person" (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	name_key TEXT NOT NULL, 
	role TEXT NOT NULL, 
	uid TEXT NOT NULL, 
	pin TEXT, 
	pin_failed_at TEXT, 
	pin_failures INTEGER NOT NULL, 
	is_active INTEGER NOT NULL, 
	version INTEGER NOT NULL, 
	CONSTRAINT pk_person PRIMARY KEY (id), 
	CONSTRAINT ck_person_role CHECK (role IN ('bench', 'owner')), 
	CONSTRAINT uq_person_uid UNIQUE (uid), 
	CONSTRAINT uq_person_name_key UNIQUE (name_key), 
	CONSTRAINT ck_person_is_active CHECK (is_active IN (0, 1)), 
	CONSTRAINT ck_person_pin_failures CHECK (pin_failures >= 0)
)
 STRICT

;
INSERT INTO "person" VALUES(1,'Tam Ollerby','tam ollerby','owner','8b602484-60b3-5241-8728-9ac7b1723f36',NULL,NULL,0,1,1);
INSERT INTO "person" VALUES(2,'Łucja Ströß','łucja ströss','bench','62cd28a4-fa24-511a-bb3f-ab6b70573104',NULL,NULL,0,1,1);
CREATE TABLE photo (
	id INTEGER NOT NULL, 
	uid TEXT NOT NULL, 
	job_id INTEGER NOT NULL, 
	stage TEXT NOT NULL, 
	entry TEXT NOT NULL, 
	position TEXT NOT NULL, 
	trial INTEGER NOT NULL, 
	reading_id INTEGER, 
	caption TEXT NOT NULL, 
	digest TEXT NOT NULL, 
	width INTEGER NOT NULL, 
	height INTEGER NOT NULL, 
	image BLOB NOT NULL, 
	thumbnail BLOB NOT NULL, 
	person TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_photo PRIMARY KEY (id), 
	CONSTRAINT uq_photo_uid UNIQUE (uid), 
	CONSTRAINT ck_photo_size CHECK (width > 0 AND height > 0), 
	CONSTRAINT fk_photo_job_id FOREIGN KEY(job_id) REFERENCES job (id), 
	CONSTRAINT fk_photo_reading_id FOREIGN KEY(reading_id) REFERENCES reading (id)
)
 STRICT

;
CREATE TABLE photo_strike (
	id INTEGER NOT NULL, 
	photo_id INTEGER NOT NULL, 
	person TEXT NOT NULL, 
	at TEXT NOT NULL, 
	reason TEXT NOT NULL, 
	CONSTRAINT pk_photo_strike PRIMARY KEY (id), 
	CONSTRAINT uq_photo_strike_photo_id UNIQUE (photo_id), 
	CONSTRAINT fk_photo_strike_photo_id FOREIGN KEY(photo_id) REFERENCES photo (id)
)
 STRICT

;
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
CREATE TABLE "shop" (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	address TEXT NOT NULL, 
	units TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	CONSTRAINT pk_shop PRIMARY KEY (id), 
	CONSTRAINT ck_shop_units CHECK (units IN ('metric', 'inch')), 
	CONSTRAINT ck_shop_one CHECK (id = 1)
)
 STRICT

;
INSERT INTO "shop" VALUES(1,'Back-lane axles','Lane 1
Town','metric',1);
CREATE TABLE shop_rule (
	id INTEGER NOT NULL, 
	"key" TEXT NOT NULL, 
	value TEXT NOT NULL, 
	at TEXT NOT NULL, 
	person TEXT NOT NULL, 
	CONSTRAINT pk_shop_rule PRIMARY KEY (id)
)
 STRICT

;
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
CREATE TABLE trail (
	id INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	bench TEXT NOT NULL, 
	person TEXT NOT NULL, 
	doing TEXT NOT NULL, 
	job_id INTEGER, 
	what TEXT NOT NULL, 
	in_table TEXT NOT NULL, 
	row_id INTEGER NOT NULL, 
	content TEXT NOT NULL, 
	chain TEXT NOT NULL, 
	CONSTRAINT pk_trail PRIMARY KEY (id), 
	CONSTRAINT ck_trail_what CHECK (what IN ('added', 'changed'))
)
 STRICT

;
INSERT INTO "trail" VALUES(1,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','shop',1,'{"address":"Lane 1\nTown","id":1,"name":"Back-lane axles","units":"metric","version":1}','6a939216076b93d4e11435390a19922ee96f6b6da484789f99b5102898eb5d2e');
INSERT INTO "trail" VALUES(2,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','person',1,'{"id":1,"is_active":1,"name":"Tam Ollerby","name_key":"tam ollerby","pin":null,"pin_failed_at":null,"pin_failures":0,"role":"owner","uid":"8b602484-60b3-5241-8728-9ac7b1723f36","version":1}','9f7aaf1ca2bb83439c0ebee611ee147592bff4870b62d78ec7b7c4c8f1151dc0');
INSERT INTO "trail" VALUES(3,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','person',2,'{"id":2,"is_active":1,"name":"Łucja Ströß","name_key":"łucja ströss","pin":null,"pin_failed_at":null,"pin_failures":0,"role":"bench","uid":"62cd28a4-fa24-511a-bb3f-ab6b70573104","version":1}','eea080ede5c66e8fbe057d5cdeec891d7b25a9150b28787725674ff18708ec9f');
INSERT INTO "trail" VALUES(4,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','gauge',1,'{"id":1,"interval_months":12,"is_retired":0,"kind":"length","name":"dial 1","name_key":"dial 1","resolution":0.01,"stated_error":0.005,"uid":"0668b3f5-7215-5c83-bca7-4a448d7dec64","use":"dial","version":1}','82a76f6aea99349e7b147dc26e0d4e570b7b2a88f8b58fe617b604cd142469f0');
INSERT INTO "trail" VALUES(5,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','gauge',2,'{"id":2,"interval_months":null,"is_retired":0,"kind":"torque","name":"beam wrench 2","name_key":"beam wrench 2","resolution":0.05,"stated_error":0.05,"uid":"bc7ea99f-2749-5fea-8eb8-8830cd66a0ab","use":"torque","version":1}','bf1b2a2d7c5c2497c537a8afc40a9cb3ab2b1d062ce3af282589f78d49e0c5c3');
INSERT INTO "trail" VALUES(6,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','gauge_check',1,'{"at":"2026-01-05","gauge_id":1,"id":1,"is_good":1,"note":"","person":"","value":null,"what":"calibration"}','df3a458fd0b89eed81df7714b24439663ce17f8604f34d13fc7859acfd91949f');
INSERT INTO "trail" VALUES(7,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','part',1,'{"count":2,"id":1,"is_retired":0,"kind":"ring","name":"","nominal_mm":2.52,"place":"C3","reorder_level":0,"uid":"214fd7c9-aec3-59b5-87c8-895644738a1a","version":1}','f4262306d09526cfa1371f6d4fc023a94a43c95e3e978313af94f514ccbd77ef');
INSERT INTO "trail" VALUES(8,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','part',2,'{"count":1,"id":2,"is_retired":0,"kind":"ring","name":"","nominal_mm":2.45,"place":"","reorder_level":0,"uid":"00cca6ca-e679-5874-b7b6-b0d6e624b181","version":1}','adaad070477daa7dcd7ab3ecb6ab6596d15042591ede55b389139aab71e6c736');
INSERT INTO "trail" VALUES(9,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','customer',1,'{"contact":"gate 2","id":1,"name":"Hill-climb club","uid":"eae7be54-50cb-5951-8a2a-22f3da7c683f"}','7eae02f84439a8537b0a32629c90c773e532f5883259f21f1196ed0bc4a6d907');
INSERT INTO "trail" VALUES(10,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','customer',2,'{"contact":"gate 2","id":2,"name":"Brackwater Hill-climb Club","uid":"c18b2a87-cf3c-5e21-a529-c5ae872af252"}','6d4a24d33877cb326300d9c82e8b8d47fbfb1e06b981c4a38860130cb8b2551b');
INSERT INTO "trail" VALUES(11,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','unit',1,'{"id":1,"look_key":"k1183","serial":"K-1183","serial_key":"k1183","uid":"6cb5f2d7-ad7f-5393-8cdf-c079f4c02a77"}','ca8eff216d91f25227b033fb3484bf48f029642ecce9f2543ca7a277dee11e0d');
INSERT INTO "trail" VALUES(12,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','spec_card',1,'{"family":"Orrin B","family_key":"orrin b","id":1}','3385b58d0085543bd2096a61e89e6bf85caf9401c8691cea3108a852000c083b');
INSERT INTO "trail" VALUES(13,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','spec_revision',1,'{"card_id":1,"id":1,"made_at":"2026-03-02T08:00:00.000000+00:00","made_by":"Tam Ollerby","revision":1}','055fbcfe67154fd3629b5f353871b2d605f2f4b909879117efb8e3effed2b052');
INSERT INTO "trail" VALUES(14,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','spec_revision',2,'{"card_id":1,"id":2,"made_at":"2026-03-02T08:00:00.000000+00:00","made_by":"Tam Ollerby","revision":2}','9af5c8a245502d23ce9e2712e56ca53ffcb03536900f67af4908c954a27e0304');
INSERT INTO "trail" VALUES(15,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','spec_value',1,'{"high":0.1,"high_text":"0.10 mm","id":1,"key":"backlash","low":0.06,"low_text":"0.06","revision_id":1,"source":"shop practice","text":"","unit":"mm","value":null,"what":"limit"}','ff056e5cd842ca08d7bdb451762368a77be7b4bb7cd8ff4df3c5a75a71592015');
INSERT INTO "trail" VALUES(16,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','spec_value',2,'{"high":null,"high_text":"","id":2,"key":"ring_gear_side","low":null,"low_text":"","revision_id":1,"source":"","text":"left","unit":"","value":null,"what":"fact"}','a69f48d5075257a5b89777ad166bb6c7be659b41c41bb8c28fe5d69698a60dc0');
INSERT INTO "trail" VALUES(17,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','spec_value',3,'{"high":null,"high_text":"","id":3,"key":"fill_volume","low":null,"low_text":"","revision_id":1,"source":"maker''s manual","text":"1.1 L","unit":"l","value":1.1,"what":"fact"}','1657a9b6cdd28dbe646d3e9e748f5a2585dc5dbe7ad0cf3d09fc790cd33e9847');
INSERT INTO "trail" VALUES(18,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','spec_value',4,'{"high":0.12,"high_text":"0.12 mm","id":4,"key":"backlash","low":0.06,"low_text":"0.06 mm","revision_id":2,"source":"shop practice","text":"","unit":"mm","value":null,"what":"limit"}','c57b46006463ee671b10d8ca8077daa6cc757cb50237ab24609b4a4caa9dd464');
INSERT INTO "trail" VALUES(19,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','spec_value',5,'{"high":null,"high_text":"","id":5,"key":"ring_gear_side","low":null,"low_text":"","revision_id":2,"source":"","text":"left","unit":"","value":null,"what":"fact"}','2a63378fd386bfa9a1dcb7ef04bc9a2e09734854aa8fb1fb44ea2e0c3cb71e0a');
INSERT INTO "trail" VALUES(20,'2026-11-25T13:12:07.626647+00:00','','','upgrade',1,'added','job',1,'{"asked_for":"Quiet.\nDocumented.","customer_id":2,"id":1,"is_limited_slip":1,"number":"2407","number_key":"2407","pinion_teeth":11,"revision_id":1,"ring_gear_teeth":43,"tag_ratio":3.91,"uid":"97cf3db0-8b66-568a-a5bd-3a58aa1fd3e1","unit_id":1,"vehicle":"special, rear axle","version":1}','8cd732329336d113688e790ca0d4c2d81bb6ea6babb36f372714320a45da8511');
INSERT INTO "trail" VALUES(21,'2026-11-25T13:12:07.626647+00:00','','','upgrade',2,'added','job',2,'{"asked_for":"","customer_id":2,"id":2,"is_limited_slip":1,"number":"2411","number_key":"2411","pinion_teeth":11,"revision_id":2,"ring_gear_teeth":43,"tag_ratio":null,"uid":"106f0582-6206-5da6-965e-fc63ca809981","unit_id":1,"vehicle":"special, rear axle","version":1}','7660d1b2abef7cb41cad94748445a3223faa54319d741014fec7bfbf1d9b08b1');
INSERT INTO "trail" VALUES(22,'2026-11-25T13:12:07.626647+00:00','','','upgrade',1,'added','job_event',1,'{"at":"2026-01-21T08:00:00.000000+00:00","detail":"{}","id":1,"job_id":1,"person":"Tam Ollerby","what":"opened"}','bc6074e865ff69123a067d51e6d533b55175c85b043dae418e0d9519e7e428c3');
INSERT INTO "trail" VALUES(23,'2026-11-25T13:12:07.626647+00:00','','','upgrade',1,'added','job_event',2,'{"at":"2026-01-22T08:00:00.000000+00:00","detail":"{\"revision\": \"1\"}","id":2,"job_id":1,"person":"Tam Ollerby","what":"signed"}','a7c5515946fe2c982ad96835d2579b39beaa1b504cb00f21fbfd69fb4ff6e177');
INSERT INTO "trail" VALUES(24,'2026-11-25T13:12:07.626647+00:00','','','upgrade',1,'added','job_event',3,'{"at":"2026-01-22T08:00:00.000000+00:00","detail":"{\"copy\": \"customer\", \"fingerprint\": \"abababababababababababababababababababababababababababababababab\", \"revision\": \"1\"}","id":3,"job_id":1,"person":"Tam Ollerby","what":"sheet"}','451b90ebf9efc0d17e842746f2417da60cd83b6d088ab915a6f40ca85086d8f0');
INSERT INTO "trail" VALUES(25,'2026-11-25T13:12:07.626647+00:00','','','upgrade',1,'added','job_event',4,'{"at":"2026-02-05T08:00:00.000000+00:00","detail":"{\"reason\": \"name misspelt\", \"revision\": \"2\"}","id":4,"job_id":1,"person":"Tam Ollerby","what":"reopened"}','c399673110e0e0234ba6ab44bc4961b4562660f2a5b5d9dfb6c5c5a82313ed3b');
INSERT INTO "trail" VALUES(26,'2026-11-25T13:12:07.626647+00:00','','','upgrade',1,'added','job_event',5,'{"at":"2026-02-05T08:00:00.000000+00:00","detail":"{\"field\": \"customer\", \"new\": \"Brackwater Hill-climb Club\", \"old\": \"Hill-climb club\", \"reason\": \"misspelt\"}","id":5,"job_id":1,"person":"Tam Ollerby","what":"corrected"}','46f37c02051d6f7137b3ebff62679e9995b001b737190facf59bb6cda95232a3');
INSERT INTO "trail" VALUES(27,'2026-11-25T13:12:07.626647+00:00','','','upgrade',1,'added','job_event',6,'{"at":"2026-02-05T08:00:00.000000+00:00","detail":"{\"revision\": \"2\"}","id":6,"job_id":1,"person":"Tam Ollerby","what":"signed"}','b8f890ce57b8319600079e6edfd523b3c5f11d42961f1a1011733ffdccd9c03f');
INSERT INTO "trail" VALUES(28,'2026-11-25T13:12:07.626647+00:00','','','upgrade',2,'added','job_event',7,'{"at":"2026-03-02T08:00:00.000000+00:00","detail":"{}","id":7,"job_id":2,"person":"Łucja Ströß","what":"opened"}','ec72b41f26f4c2f69a0e56b4a907991c1653d36d409080a946c45f002a4d68fd');
INSERT INTO "trail" VALUES(29,'2026-11-25T13:12:07.626647+00:00','','','upgrade',1,'added','reading',1,'{"entry":"found_backlash","gauge_id":1,"id":1,"job_id":1,"person":"Łucja Ströß","position":"at_000","reason":"","replaces":null,"source":"typed","stage":"teardown","taken_at":"2026-01-22T08:00:00.000000+00:00","text":"0.14","trial":0,"unit":"mm","value":0.14}','622ef38f275d52222fae90f11f48dff1d418b67761637692e3ec992fc34a9b1c');
INSERT INTO "trail" VALUES(30,'2026-11-25T13:12:07.626647+00:00','','','upgrade',1,'added','reading',2,'{"entry":"backlash","gauge_id":1,"id":2,"job_id":1,"person":"Łucja Ströß","position":"at_000","reason":"","replaces":null,"source":"typed","stage":"backlash","taken_at":"2026-01-22T08:00:00.000000+00:00","text":".9","trial":1,"unit":"mm","value":0.9}','9da6cfadc43de156c19badd9f51d876acb2e1eaba01a4db92c9507423b22b576');
INSERT INTO "trail" VALUES(31,'2026-11-25T13:12:07.626647+00:00','','','upgrade',1,'added','reading',3,'{"entry":"backlash","gauge_id":1,"id":3,"job_id":1,"person":"Łucja Ströß","position":"at_000","reason":"slipped on the key","replaces":2,"source":"wedge","stage":"backlash","taken_at":"2026-01-22T08:00:00.000000+00:00","text":".003\"","trial":1,"unit":"in","value":0.0762}','4eb54c67e35e20f3c5abab95f95e5cbae47831f1076d04b709c0d290b6d239f7');
INSERT INTO "trail" VALUES(32,'2026-11-25T13:12:07.626647+00:00','','','upgrade',1,'added','reading',4,'{"entry":"backlash","gauge_id":null,"id":4,"job_id":1,"person":"Łucja Ströß","position":"at_045","reason":"","replaces":null,"source":"typed","stage":"backlash","taken_at":"2026-01-22T08:00:00.000000+00:00","text":"0,08","trial":1,"unit":"mm","value":0.08}','c0be87d4782698d5c593792a96a038613a4f0d66d392f1e6d773166fb815732a');
INSERT INTO "trail" VALUES(33,'2026-11-25T13:12:07.626647+00:00','','','upgrade',1,'added','reading',5,'{"entry":"backlash","gauge_id":null,"id":5,"job_id":1,"person":"Łucja Ströß","position":"at_045","reason":"wrong place","replaces":4,"source":"typed","stage":"backlash","taken_at":"2026-01-22T08:00:00.000000+00:00","text":"","trial":1,"unit":"","value":null}','db7dba9dea56fb734f66cdb7841cd490ebb4c77747dbe29f88e5b56098b07e57');
INSERT INTO "trail" VALUES(34,'2026-11-25T13:12:07.626647+00:00','','','upgrade',1,'added','reading',6,'{"entry":"oil","gauge_id":null,"id":6,"job_id":1,"person":"Tam Ollerby","position":"","reason":"","replaces":null,"source":"typed","stage":"teardown","taken_at":"2026-01-22T08:00:00.000000+00:00","text":"dark, <b>fine</b> paste & Ж ⌀ 中 🛠","trial":0,"unit":"","value":null}','6aad812b23290cd7234557d784beeb84cfaf39187503f3c7dc4f7bd05fc20b7b');
INSERT INTO "trail" VALUES(35,'2026-11-25T13:12:07.626647+00:00','','','upgrade',2,'added','reading',7,'{"entry":"found_backlash","gauge_id":1,"id":7,"job_id":2,"person":"Łucja Ströß","position":"at_000","reason":"","replaces":null,"source":"typed","stage":"teardown","taken_at":"2026-03-02T08:00:00.000000+00:00","text":"0.12","trial":0,"unit":"mm","value":0.12}','a986021e93985ced38d4a8af2d04a12d176c4bf97db9d17d6ddee3d585555648');
INSERT INTO "trail" VALUES(36,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','part_measure',1,'{"at":"2026-11-25T13:12:07.393902+00:00","gauge_id":null,"id":1,"mm":2.53,"part_id":1,"person":"","place":1,"round":1}','49908f538a2ff9f06fb32d7154e10e969069fa4c002c77e9e519dfa1fa84dab5');
INSERT INTO "trail" VALUES(37,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','part_move',1,'{"at":"2026-11-25T13:12:07.393902+00:00","entry":"","id":1,"job_id":null,"part_id":1,"person":"","pieces":2,"reason":"","stage":"","trial":0,"what":"counted"}','e15357bab6e6130f3e24a8242b3e1abc8b688f3653f40cbe38105d4e05a63602');
INSERT INTO "trail" VALUES(38,'2026-11-25T13:12:07.626647+00:00','','','upgrade',NULL,'added','part_move',2,'{"at":"2026-11-25T13:12:07.393902+00:00","entry":"","id":2,"job_id":null,"part_id":2,"person":"","pieces":1,"reason":"","stage":"","trial":0,"what":"counted"}','a6d170e9289c19444aaa21aad8c9efa13675c55e263a030324adcc0d12e8820f');
INSERT INTO "trail" VALUES(39,'2026-11-28T07:42:47.007307+00:00','','','upgrade',NULL,'changed','part',1,'{"count":2,"fits":"","id":1,"is_retired":0,"kind":"ring","name":"","nominal_mm":2.52,"place":"C3","reorder_level":0,"uid":"214fd7c9-aec3-59b5-87c8-895644738a1a","version":1}','a688ffffcdb361f7b1d62338e48e4094df3b9597d25707a30c5ef2ccbdc5f1fc');
INSERT INTO "trail" VALUES(40,'2026-11-28T07:42:47.007307+00:00','','','upgrade',NULL,'changed','part',2,'{"count":1,"fits":"","id":2,"is_retired":0,"kind":"ring","name":"","nominal_mm":2.45,"place":"","reorder_level":0,"uid":"00cca6ca-e679-5874-b7b6-b0d6e624b181","version":1}','cac953f744f6ae0208c7346f18634fc2adc6285182efd7ff75ccb6329c24a973');
CREATE TABLE "unit" (
	id INTEGER NOT NULL, 
	serial TEXT NOT NULL, 
	serial_key TEXT NOT NULL, 
	uid TEXT NOT NULL, 
	look_key TEXT NOT NULL, 
	CONSTRAINT pk_unit PRIMARY KEY (id), 
	CONSTRAINT ck_unit_serial CHECK (serial_key <> ''), 
	CONSTRAINT uq_unit_serial_key UNIQUE (serial_key), 
	CONSTRAINT uq_unit_uid UNIQUE (uid)
)
 STRICT

;
INSERT INTO "unit" VALUES(1,'K-1183','k1183','6cb5f2d7-ad7f-5393-8cdf-c079f4c02a77','k1183');
CREATE INDEX ix_job_event_job_id ON job_event (job_id);
CREATE UNIQUE INDEX uq_reading_first ON reading (job_id, stage, entry, position, trial) WHERE replaces IS NULL;
CREATE INDEX ix_unit_look_key ON unit (look_key);
CREATE INDEX ix_gauge_check_gauge_id ON gauge_check (gauge_id);
CREATE INDEX ix_part_move_part_id ON part_move (part_id);
CREATE INDEX ix_part_move_job_id ON part_move (job_id);
CREATE INDEX ix_photo_job_id ON photo (job_id);
CREATE INDEX ix_trail_job_id ON trail (job_id);
CREATE INDEX ix_trail_in_table_row_id ON trail (in_table, row_id);
CREATE INDEX ix_job_unit_id ON job (unit_id);
CREATE INDEX ix_job_revision_id ON job (revision_id);
CREATE TRIGGER tr_shop_rule_no_update BEFORE UPDATE ON shop_rule BEGIN SELECT RAISE(ABORT, 'shop_rule only grows'); END;
CREATE TRIGGER tr_shop_rule_no_delete BEFORE DELETE ON shop_rule BEGIN SELECT RAISE(ABORT, 'shop_rule only grows'); END;
CREATE TRIGGER tr_shop_rule_no_replace BEFORE INSERT ON shop_rule WHEN EXISTS (SELECT 1 FROM shop_rule WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'shop_rule only grows'); END;
CREATE TRIGGER tr_gauge_check_no_update BEFORE UPDATE ON gauge_check BEGIN SELECT RAISE(ABORT, 'gauge_check only grows'); END;
CREATE TRIGGER tr_gauge_check_no_delete BEFORE DELETE ON gauge_check BEGIN SELECT RAISE(ABORT, 'gauge_check only grows'); END;
CREATE TRIGGER tr_gauge_check_no_replace BEFORE INSERT ON gauge_check WHEN EXISTS (SELECT 1 FROM gauge_check WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'gauge_check only grows'); END;
CREATE TRIGGER tr_part_measure_no_update BEFORE UPDATE ON part_measure BEGIN SELECT RAISE(ABORT, 'part_measure only grows'); END;
CREATE TRIGGER tr_part_measure_no_delete BEFORE DELETE ON part_measure BEGIN SELECT RAISE(ABORT, 'part_measure only grows'); END;
CREATE TRIGGER tr_part_measure_no_replace BEFORE INSERT ON part_measure WHEN EXISTS (SELECT 1 FROM part_measure WHERE id = NEW.id OR (part_id = NEW.part_id AND round = NEW.round AND place = NEW.place)) BEGIN SELECT RAISE(ABORT, 'part_measure only grows'); END;
CREATE TRIGGER tr_part_move_no_update BEFORE UPDATE ON part_move BEGIN SELECT RAISE(ABORT, 'part_move only grows'); END;
CREATE TRIGGER tr_part_move_no_delete BEFORE DELETE ON part_move BEGIN SELECT RAISE(ABORT, 'part_move only grows'); END;
CREATE TRIGGER tr_part_move_no_replace BEFORE INSERT ON part_move WHEN EXISTS (SELECT 1 FROM part_move WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'part_move only grows'); END;
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
CREATE TRIGGER tr_photo_no_update BEFORE UPDATE ON photo BEGIN SELECT RAISE(ABORT, 'photo only grows'); END;
CREATE TRIGGER tr_photo_no_delete BEFORE DELETE ON photo BEGIN SELECT RAISE(ABORT, 'photo only grows'); END;
CREATE TRIGGER tr_photo_no_replace BEFORE INSERT ON photo WHEN EXISTS (SELECT 1 FROM photo WHERE id = NEW.id OR uid = NEW.uid) BEGIN SELECT RAISE(ABORT, 'photo only grows'); END;
CREATE TRIGGER tr_photo_strike_no_update BEFORE UPDATE ON photo_strike BEGIN SELECT RAISE(ABORT, 'photo_strike only grows'); END;
CREATE TRIGGER tr_photo_strike_no_delete BEFORE DELETE ON photo_strike BEGIN SELECT RAISE(ABORT, 'photo_strike only grows'); END;
CREATE TRIGGER tr_photo_strike_no_replace BEFORE INSERT ON photo_strike WHEN EXISTS (SELECT 1 FROM photo_strike WHERE id = NEW.id OR photo_id = NEW.photo_id) BEGIN SELECT RAISE(ABORT, 'photo_strike only grows'); END;
CREATE TRIGGER tr_trail_no_update BEFORE UPDATE ON trail BEGIN SELECT RAISE(ABORT, 'trail only grows'); END;
CREATE TRIGGER tr_trail_no_delete BEFORE DELETE ON trail BEGIN SELECT RAISE(ABORT, 'trail only grows'); END;
CREATE TRIGGER tr_trail_no_replace BEFORE INSERT ON trail WHEN EXISTS (SELECT 1 FROM trail WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'trail only grows'); END;
CREATE TRIGGER tr_spec_value_pinned BEFORE INSERT ON spec_value WHEN EXISTS (SELECT 1 FROM job WHERE revision_id = NEW.revision_id) BEGIN SELECT RAISE(ABORT, 'a job is pinned to this revision'); END;
CREATE INDEX ix_advised_job_id ON advised (job_id);
CREATE TRIGGER tr_advised_no_update BEFORE UPDATE ON advised BEGIN SELECT RAISE(ABORT, 'advised only grows'); END;
CREATE TRIGGER tr_advised_no_delete BEFORE DELETE ON advised BEGIN SELECT RAISE(ABORT, 'advised only grows'); END;
CREATE TRIGGER tr_advised_no_replace BEFORE INSERT ON advised WHEN EXISTS (SELECT 1 FROM advised WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'advised only grows'); END;
CREATE VIRTUAL TABLE job_search USING fts5(words, tokenize = 'ascii');
INSERT INTO job_search (rowid, words) VALUES(1, '2407 §k1183 §1183 §183 §83 §3 k 1183 brackwater hill climb club gate 2 special rear axle quiet documented slipped on the key wrong place name misspelt');
INSERT INTO job_search (rowid, words) VALUES(2, '2411 §k1183 §1183 §183 §83 §3 k 1183 brackwater hill climb club gate 2 special rear axle');
COMMIT;
