"""One season of one firm: settings, crews, machines, jobs, rate editions, plans, hours, history.

Revision: 0001, the first.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "calendar_events",
        sa.Column("uid", sa.String(length=200), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(length=200), nullable=False),
        sa.Column("cancelled", sa.Boolean(create_constraint=True, name="cancelled_flag"), nullable=False),
        sa.CheckConstraint(
            "sequence >= 0 AND sequence <= 2147483647", name=op.f("ck_calendar_events_sequence_range")
        ),
        sa.PrimaryKeyConstraint("uid", name=op.f("pk_calendar_events")),
    )
    op.create_table(
        "counters",
        sa.Column("name", sa.String(length=40), nullable=False),
        sa.Column("last", sa.Integer(), nullable=False),
        sa.CheckConstraint("last >= 0 AND last <= 2147483647", name=op.f("ck_counters_last_range")),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_counters")),
    )
    op.create_table(
        "crews",
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("lead", sa.Text(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("skills", sa.Text(), nullable=False),
        sa.Column("pace", sa.Double(), nullable=False),
        sa.Column("depot_latitude_deg", sa.Double(), nullable=True),
        sa.Column("depot_longitude_deg", sa.Double(), nullable=True),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "(depot_latitude_deg IS NULL) = (depot_longitude_deg IS NULL)", name=op.f("ck_crews_place_whole")
        ),
        sa.CheckConstraint(
            "depot_latitude_deg >= -90 AND depot_latitude_deg <= 90",
            name=op.f("ck_crews_depot_latitude_deg_range"),
        ),
        sa.CheckConstraint(
            "depot_longitude_deg >= -180 AND depot_longitude_deg <= 180",
            name=op.f("ck_crews_depot_longitude_deg_range"),
        ),
        sa.CheckConstraint("length(trim(name)) > 0", name=op.f("ck_crews_name_filled")),
        sa.CheckConstraint("pace > 0 AND pace <= 10", name=op.f("ck_crews_pace_range")),
        sa.CheckConstraint("size >= 1 AND size <= 50", name=op.f("ck_crews_size_range")),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_crews")),
    )
    op.create_table(
        "firm",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("shift_start", sa.Time(), nullable=False),
        sa.Column("paid_h_day", sa.Double(), nullable=False),
        sa.Column("meal_break_min", sa.Integer(), nullable=False),
        sa.Column("weekdays", sa.String(length=20), nullable=False),
        sa.Column("country", sa.String(length=2), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("time_zone", sa.String(length=80), nullable=False),
        sa.Column("season_first", sa.Date(), nullable=False),
        sa.Column("season_last", sa.Date(), nullable=False),
        sa.Column("units", sa.String(length=10), nullable=False),
        sa.Column("planning_percentile", sa.Double(), nullable=False),
        sa.Column("depot_latitude_deg", sa.Double(), nullable=True),
        sa.Column("depot_longitude_deg", sa.Double(), nullable=True),
        sa.Column("road_factor", sa.Double(), nullable=False),
        sa.Column("road_mph", sa.Double(), nullable=False),
        sa.Column("unknown_site_mi", sa.Double(), nullable=False),
        sa.Column("daily_setup_h", sa.Double(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.CheckConstraint("units IN ('us', 'metric')", name=op.f("ck_firm_units_known")),
        sa.CheckConstraint(
            "(depot_latitude_deg IS NULL) = (depot_longitude_deg IS NULL)", name=op.f("ck_firm_place_whole")
        ),
        sa.CheckConstraint(
            "daily_setup_h >= 0 AND daily_setup_h <= 8", name=op.f("ck_firm_daily_setup_h_range")
        ),
        sa.CheckConstraint(
            "depot_latitude_deg >= -90 AND depot_latitude_deg <= 90",
            name=op.f("ck_firm_depot_latitude_deg_range"),
        ),
        sa.CheckConstraint(
            "depot_longitude_deg >= -180 AND depot_longitude_deg <= 180",
            name=op.f("ck_firm_depot_longitude_deg_range"),
        ),
        sa.CheckConstraint("id = 1", name=op.f("ck_firm_only_one")),
        sa.CheckConstraint(
            "meal_break_min >= 0 AND meal_break_min <= 240", name=op.f("ck_firm_meal_break_min_range")
        ),
        sa.CheckConstraint("paid_h_day > 0 AND paid_h_day <= 16", name=op.f("ck_firm_paid_h_day_range")),
        sa.CheckConstraint(
            "planning_percentile >= 1 AND planning_percentile <= 99",
            name=op.f("ck_firm_planning_percentile_range"),
        ),
        sa.CheckConstraint("road_factor >= 1 AND road_factor <= 5", name=op.f("ck_firm_road_factor_range")),
        sa.CheckConstraint("road_mph > 0 AND road_mph <= 100", name=op.f("ck_firm_road_mph_range")),
        sa.CheckConstraint("season_first <= season_last", name=op.f("ck_firm_in_order")),
        sa.CheckConstraint(
            "unknown_site_mi >= 0 AND unknown_site_mi <= 1000", name=op.f("ck_firm_unknown_site_mi_range")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_firm")),
    )
    op.create_table(
        "firm_days_off",
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("first", sa.Date(), nullable=False),
        sa.Column("last", sa.Date(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.CheckConstraint("first <= last", name=op.f("ck_firm_days_off_in_order")),
        sa.PrimaryKeyConstraint("place", name=op.f("pk_firm_days_off")),
    )
    op.create_table(
        "firm_weights",
        sa.Column("name", sa.String(length=40), nullable=False),
        sa.Column("value", sa.Double(), nullable=False),
        sa.CheckConstraint("value >= 0 AND value <= 1000000000.0", name=op.f("ck_firm_weights_value_range")),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_firm_weights")),
    )
    op.create_table(
        "firm_work_days",
        sa.Column("day", sa.Date(), nullable=False),
        sa.PrimaryKeyConstraint("day", name=op.f("pk_firm_work_days")),
    )
    op.create_table(
        "history",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("action", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("noun", sa.String(length=20), nullable=False),
        sa.Column("key", sa.String(length=80), nullable=False),
        sa.Column("before", sa.Text(), nullable=True),
        sa.Column("after", sa.Text(), nullable=True),
        sa.Column("undoes", sa.Integer(), nullable=True),
        sa.Column("undone", sa.Boolean(create_constraint=True, name="undone_flag"), nullable=False),
        sa.CheckConstraint("before IS NOT NULL OR after IS NOT NULL", name=op.f("ck_history_says_something")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_history")),
    )
    with op.batch_alter_table("history", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_history_action"), ["action"], unique=False)
        batch_op.create_index(batch_op.f("ix_history_noun"), ["noun"], unique=False)

    op.create_table(
        "lost",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("first", sa.Date(), nullable=False),
        sa.Column("last", sa.Date(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("target", sa.String(length=80), nullable=False),
        sa.Column("people", sa.Integer(), nullable=False),
        sa.Column("phase", sa.String(length=20), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "kind IN ('rain', 'crew off', 'crew short', 'machine down', "
            "'late delivery', 'failed inspection')",
            name=op.f("ck_lost_kind_known"),
        ),
        sa.CheckConstraint(
            "phase IN ('dig', 'set_filters', 'liner', 'rock', 'plumbing', 'fill', '')",
            name=op.f("ck_lost_phase_known"),
        ),
        sa.CheckConstraint("first <= last", name=op.f("ck_lost_in_order")),
        sa.CheckConstraint("people >= 0 AND people <= 1000", name=op.f("ck_lost_people_range")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lost")),
    )
    op.create_table(
        "machines",
        sa.Column("key", sa.String(length=80), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("units", sa.Integer(), nullable=False),
        sa.Column("move_cost_usd", sa.Double(), nullable=False),
        sa.Column("move_h", sa.Double(), nullable=False),
        sa.Column("bucket_ft3", sa.Double(), nullable=False),
        sa.Column("mass_t", sa.Double(), nullable=False),
        sa.Column("rented", sa.Boolean(create_constraint=True, name="rented_flag"), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "bucket_ft3 >= 0 AND bucket_ft3 <= 1000", name=op.f("ck_machines_bucket_ft3_range")
        ),
        sa.CheckConstraint("length(trim(key)) > 0", name=op.f("ck_machines_key_filled")),
        sa.CheckConstraint("mass_t >= 0 AND mass_t <= 1000", name=op.f("ck_machines_mass_t_range")),
        sa.CheckConstraint(
            "move_cost_usd >= 0 AND move_cost_usd <= 1000000.0", name=op.f("ck_machines_move_cost_usd_range")
        ),
        sa.CheckConstraint("move_h >= 0 AND move_h <= 100", name=op.f("ck_machines_move_h_range")),
        sa.CheckConstraint("units >= 0 AND units <= 1000", name=op.f("ck_machines_units_range")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_machines")),
    )
    op.create_table(
        "office_marks",
        sa.Column("key", sa.String(length=200), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("until", sa.Date(), nullable=True),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=True),
        sa.CheckConstraint("length(trim(key)) > 0", name=op.f("ck_office_marks_key_filled")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_office_marks")),
    )
    op.create_table(
        "plans",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("published_at", sa.DateTime(), nullable=True),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("dispatch_cents", sa.BigInteger(), nullable=True),
        sa.Column("bound_cents", sa.BigInteger(), nullable=True),
        sa.Column("seed", sa.Integer(), nullable=False),
        sa.Column("history_mark", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "state IN ('proven best', 'best found', 'dispatch rule', 'order kept')",
            name=op.f("ck_plans_state_known"),
        ),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_plans")),
    )
    op.create_table(
        "rate_editions",
        sa.Column("edition", sa.String(length=80), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("saved_at", sa.DateTime(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.CheckConstraint("length(trim(edition)) > 0", name=op.f("ck_rate_editions_edition_filled")),
        sa.PrimaryKeyConstraint("edition", name=op.f("pk_rate_editions")),
    )
    op.create_table(
        "returns",
        sa.Column("mark", sa.String(length=200), nullable=False),
        sa.Column("crew", sa.String(length=80), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("digest", sa.String(length=200), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=True),
        sa.CheckConstraint("length(trim(mark)) > 0", name=op.f("ck_returns_mark_filled")),
        sa.PrimaryKeyConstraint("mark", name=op.f("pk_returns")),
    )
    op.create_table(
        "crew_days_off",
        sa.Column("crew", sa.String(length=80), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("first", sa.Date(), nullable=False),
        sa.Column("last", sa.Date(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.CheckConstraint("first <= last", name=op.f("ck_crew_days_off_in_order")),
        sa.ForeignKeyConstraint(
            ["crew"], ["crews.name"], name=op.f("fk_crew_days_off_crew"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("crew", "place", name=op.f("pk_crew_days_off")),
    )
    op.create_table(
        "jobs",
        sa.Column("code", sa.String(length=80), nullable=False),
        sa.Column("client", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("phone", sa.Text(), nullable=False),
        sa.Column("latitude_deg", sa.Double(), nullable=True),
        sa.Column("longitude_deg", sa.Double(), nullable=True),
        sa.Column("region", sa.Text(), nullable=False),
        sa.Column("status", sa.String(length=20), nullable=False),
        sa.Column("promised", sa.Date(), nullable=True),
        sa.Column("importance", sa.Double(), nullable=False),
        sa.Column("access", sa.String(length=20), nullable=False),
        sa.Column("soil", sa.String(length=20), nullable=False),
        sa.Column("carry_ft", sa.Double(), nullable=False),
        sa.Column("depth_in", sa.Double(), nullable=False),
        sa.Column("shelves", sa.Integer(), nullable=False),
        sa.Column("waterfall", sa.Boolean(create_constraint=True, name="waterfall_flag"), nullable=False),
        sa.Column("occupied", sa.Boolean(create_constraint=True, name="occupied_flag"), nullable=False),
        sa.Column("wet", sa.Boolean(create_constraint=True, name="wet_flag"), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("rate_edition", sa.String(length=80), nullable=True),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "access IN ('machine', 'narrow gate', 'hand only')", name=op.f("ck_jobs_access_known")
        ),
        sa.CheckConstraint(
            "soil IN ('sand', 'loam', 'clay', 'stony clay', 'rock')", name=op.f("ck_jobs_soil_known")
        ),
        sa.CheckConstraint(
            "status IN ('inquiry', 'sold', 'under way', 'done', 'cancelled')",
            name=op.f("ck_jobs_status_known"),
        ),
        sa.CheckConstraint(
            "(latitude_deg IS NULL) = (longitude_deg IS NULL)", name=op.f("ck_jobs_place_whole")
        ),
        sa.CheckConstraint("carry_ft >= 0 AND carry_ft <= 100000", name=op.f("ck_jobs_carry_ft_range")),
        sa.CheckConstraint("depth_in >= 0 AND depth_in <= 600", name=op.f("ck_jobs_depth_in_range")),
        sa.CheckConstraint("importance >= 0 AND importance <= 1000", name=op.f("ck_jobs_importance_range")),
        sa.CheckConstraint(
            "latitude_deg >= -90 AND latitude_deg <= 90", name=op.f("ck_jobs_latitude_deg_range")
        ),
        sa.CheckConstraint("length(trim(code)) > 0", name=op.f("ck_jobs_code_filled")),
        sa.CheckConstraint(
            "longitude_deg >= -180 AND longitude_deg <= 180", name=op.f("ck_jobs_longitude_deg_range")
        ),
        sa.CheckConstraint("revision >= 1 AND revision <= 2147483647", name=op.f("ck_jobs_revision_range")),
        sa.CheckConstraint("shelves >= 0 AND shelves <= 20", name=op.f("ck_jobs_shelves_range")),
        sa.ForeignKeyConstraint(
            ["rate_edition"], ["rate_editions.edition"], name=op.f("fk_jobs_rate_edition")
        ),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_jobs")),
    )
    op.create_table(
        "machine_out",
        sa.Column("machine", sa.String(length=80), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("first", sa.Date(), nullable=False),
        sa.Column("last", sa.Date(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("units", sa.Integer(), nullable=False),
        sa.CheckConstraint("first <= last", name=op.f("ck_machine_out_in_order")),
        sa.CheckConstraint("units >= 1 AND units <= 1000", name=op.f("ck_machine_out_units_range")),
        sa.ForeignKeyConstraint(
            ["machine"], ["machines.key"], name=op.f("fk_machine_out_machine"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("machine", "place", name=op.f("pk_machine_out")),
    )
    op.create_table(
        "plan_costs",
        sa.Column("plan", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("term", sa.String(length=40), nullable=False),
        sa.Column("cents", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["plan"], ["plans.number"], name=op.f("fk_plan_costs_plan"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("plan", "place", name=op.f("pk_plan_costs")),
    )
    op.create_table(
        "bookings",
        sa.Column("plan", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("job", sa.String(length=80), nullable=False),
        sa.Column("phase", sa.String(length=20), nullable=False),
        sa.Column("part", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("starts", sa.DateTime(), nullable=False),
        sa.Column("ends", sa.DateTime(), nullable=False),
        sa.Column("crew_h", sa.Double(), nullable=False),
        sa.Column("pinned", sa.Boolean(create_constraint=True, name="pinned_flag"), nullable=False),
        sa.Column("begun", sa.Boolean(create_constraint=True, name="begun_flag"), nullable=False),
        sa.CheckConstraint(
            "phase IN ('dig', 'set_filters', 'liner', 'rock', 'plumbing', 'fill')",
            name=op.f("ck_bookings_phase_known"),
        ),
        sa.CheckConstraint("crew_h >= 0 AND crew_h <= 100000.0", name=op.f("ck_bookings_crew_h_range")),
        sa.CheckConstraint("part >= 1 AND part <= 9", name=op.f("ck_bookings_part_range")),
        sa.CheckConstraint("starts <= ends", name=op.f("ck_bookings_in_order")),
        sa.ForeignKeyConstraint(["job"], ["jobs.code"], name=op.f("fk_bookings_job")),
        sa.ForeignKeyConstraint(
            ["plan"], ["plans.number"], name=op.f("fk_bookings_plan"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("plan", "job", "phase", "part", name=op.f("pk_bookings")),
    )
    op.create_table(
        "designs",
        sa.Column("job", sa.String(length=80), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["job"], ["jobs.code"], name=op.f("fk_designs_job"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("job", name=op.f("pk_designs")),
    )
    op.create_table(
        "holds",
        sa.Column("job", sa.String(length=80), nullable=False),
        sa.Column("until", sa.Date(), nullable=False),
        sa.Column("start", sa.Date(), nullable=True),
        sa.Column("finish", sa.Date(), nullable=True),
        sa.Column("crew", sa.String(length=80), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint("start <= finish", name=op.f("ck_holds_in_order")),
        sa.ForeignKeyConstraint(["job"], ["jobs.code"], name=op.f("fk_holds_job"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("job", name=op.f("pk_holds")),
    )
    op.create_table(
        "job_blackouts",
        sa.Column("job", sa.String(length=80), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("first", sa.Date(), nullable=False),
        sa.Column("last", sa.Date(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.CheckConstraint("first <= last", name=op.f("ck_job_blackouts_in_order")),
        sa.ForeignKeyConstraint(
            ["job"], ["jobs.code"], name=op.f("fk_job_blackouts_job"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("job", "place", name=op.f("pk_job_blackouts")),
    )
    op.create_table(
        "job_gates",
        sa.Column("job", sa.String(length=80), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("opens", sa.Date(), nullable=False),
        sa.Column("phase", sa.String(length=20), nullable=False),
        sa.Column("met", sa.Boolean(create_constraint=True, name="met_flag"), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "kind IN ('earliest start', 'deposit', 'permit', 'utility locate', 'material arrival')",
            name=op.f("ck_job_gates_kind_known"),
        ),
        sa.CheckConstraint(
            "phase IN ('dig', 'set_filters', 'liner', 'rock', 'plumbing', 'fill')",
            name=op.f("ck_job_gates_phase_known"),
        ),
        sa.ForeignKeyConstraint(["job"], ["jobs.code"], name=op.f("fk_job_gates_job"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("job", "place", name=op.f("pk_job_gates")),
    )
    op.create_table(
        "job_lines",
        sa.Column("job", sa.String(length=80), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("item", sa.String(length=40), nullable=False),
        sa.Column("quantity", sa.Double(), nullable=False),
        sa.Column("origin", sa.String(length=20), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint("origin IN ('entered', 'computed')", name=op.f("ck_job_lines_origin_known")),
        sa.CheckConstraint("length(trim(item)) > 0", name=op.f("ck_job_lines_item_filled")),
        sa.CheckConstraint(
            "quantity >= 0 AND quantity <= 10000000.0", name=op.f("ck_job_lines_quantity_range")
        ),
        sa.ForeignKeyConstraint(["job"], ["jobs.code"], name=op.f("fk_job_lines_job"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("job", "place", name=op.f("pk_job_lines")),
    )
    op.create_table(
        "job_needs",
        sa.Column("job", sa.String(length=80), nullable=False),
        sa.Column("phase", sa.String(length=20), nullable=False),
        sa.Column("skills", sa.Text(), nullable=True),
        sa.Column("machines", sa.Text(), nullable=True),
        sa.CheckConstraint(
            "phase IN ('dig', 'set_filters', 'liner', 'rock', 'plumbing', 'fill')",
            name=op.f("ck_job_needs_phase_known"),
        ),
        sa.ForeignKeyConstraint(["job"], ["jobs.code"], name=op.f("fk_job_needs_job"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("job", "phase", name=op.f("pk_job_needs")),
    )
    op.create_table(
        "job_pins",
        sa.Column("job", sa.String(length=80), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("phase", sa.String(length=20), nullable=False),
        sa.Column("crew", sa.String(length=80), nullable=True),
        sa.Column("start", sa.DateTime(), nullable=True),
        sa.CheckConstraint(
            "phase IN ('dig', 'set_filters', 'liner', 'rock', 'plumbing', 'fill')",
            name=op.f("ck_job_pins_phase_known"),
        ),
        sa.CheckConstraint("crew IS NOT NULL OR start IS NOT NULL", name=op.f("ck_job_pins_says_something")),
        sa.ForeignKeyConstraint(["job"], ["jobs.code"], name=op.f("fk_job_pins_job"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("job", "place", name=op.f("pk_job_pins")),
    )
    op.create_table(
        "logs",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("crew", sa.String(length=80), nullable=False),
        sa.Column("job", sa.String(length=80), nullable=False),
        sa.Column("phase", sa.String(length=20), nullable=False),
        sa.Column("crew_h", sa.Double(), nullable=False),
        sa.Column("share_done", sa.Double(), nullable=True),
        sa.Column("done", sa.Boolean(create_constraint=True, name="done_flag"), nullable=False),
        sa.Column("lost_h", sa.Double(), nullable=False),
        sa.Column("lost_why", sa.Text(), nullable=False),
        sa.Column("people", sa.Integer(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("source", sa.String(length=200), nullable=False),
        sa.CheckConstraint(
            "phase IN ('dig', 'set_filters', 'liner', 'rock', 'plumbing', 'fill')",
            name=op.f("ck_logs_phase_known"),
        ),
        sa.CheckConstraint("crew_h >= 0 AND crew_h <= 24", name=op.f("ck_logs_crew_h_range")),
        sa.CheckConstraint("length(trim(crew)) > 0", name=op.f("ck_logs_crew_filled")),
        sa.CheckConstraint("lost_h >= 0 AND lost_h <= 24", name=op.f("ck_logs_lost_h_range")),
        sa.CheckConstraint("people >= 0 AND people <= 50", name=op.f("ck_logs_people_range")),
        sa.CheckConstraint("share_done >= 0 AND share_done <= 1", name=op.f("ck_logs_share_done_range")),
        sa.ForeignKeyConstraint(["job"], ["jobs.code"], name=op.f("fk_logs_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_logs")),
    )
    with op.batch_alter_table("logs", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_logs_day"), ["day"], unique=False)
        batch_op.create_index(batch_op.f("ix_logs_job"), ["job"], unique=False)

    op.create_table(
        "booking_crews",
        sa.Column("plan", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("job", sa.String(length=80), nullable=False),
        sa.Column("phase", sa.String(length=20), nullable=False),
        sa.Column("part", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("crew", sa.String(length=80), nullable=False),
        sa.CheckConstraint("length(trim(crew)) > 0", name=op.f("ck_booking_crews_crew_filled")),
        sa.ForeignKeyConstraint(
            ["plan", "job", "phase", "part"],
            ["bookings.plan", "bookings.job", "bookings.phase", "bookings.part"],
            name=op.f("fk_booking_crews_plan_job_phase_part"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("plan", "job", "phase", "part", "place", name=op.f("pk_booking_crews")),
    )
    op.create_table(
        "booking_machines",
        sa.Column("plan", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("job", sa.String(length=80), nullable=False),
        sa.Column("phase", sa.String(length=20), nullable=False),
        sa.Column("part", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("unit", sa.Integer(), nullable=False),
        sa.CheckConstraint("unit >= 1 AND unit <= 1000", name=op.f("ck_booking_machines_unit_range")),
        sa.ForeignKeyConstraint(
            ["plan", "job", "phase", "part"],
            ["bookings.plan", "bookings.job", "bookings.phase", "bookings.part"],
            name=op.f("fk_booking_machines_plan_job_phase_part"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("plan", "job", "phase", "part", "place", name=op.f("pk_booking_machines")),
    )
