-- Views for SQL and spreadsheets. Each shows whoever asks what the tables show them.

-- Values as lines write them; null where somebody wrote anything else, so that no line
-- spoils a view.

create function benchway.whole(said text) returns bigint
    language sql immutable parallel safe
    return case when said ~ '^-?[0-9]{1,18}$' then said::bigint end;

create function benchway.moment(said text) returns timestamptz
    language plpgsql stable as $$
begin
    return case when said ~ '^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:.]+(Z|[+-][0-9:]+)$'
        then said::timestamptz end;
exception when data_exception then
    return null;
end $$;

create function benchway.items(said json) returns json
    language sql immutable parallel safe
    return case when json_typeof(said) = 'array' then said else '[]'::json end;

create function benchway.millimetres(nanometres bigint) returns numeric
    language sql immutable parallel safe
    return round(nanometres / 1000000.0, 6);

create function benchway.inches(nanometres bigint) returns numeric
    language sql immutable parallel safe
    return round(nanometres / 25400000.0, 7);

-- What a piece is called, from its label: leg 4 spare, second.
create function benchway.piece_name(label json, role text) returns text
    language sql immutable parallel safe
    return concat(label ->> 'part',
        case role when 'setup' then ' setup' when 'blank' then ' blank' end,
        ' ', label ->> 'number',
        case role when 'spare' then ' spare' end,
        case coalesce(label ->> 'make', '1')
            when '1' then '' when '2' then ', second' when '3' then ', third'
            else concat(', made ', label ->> 'make', ' times') end);

-- Whether a piece is there, by what each was split from: a blank that came in with an
-- article which another station had taken in before isn't, nor is what was cut from it.
create function benchway.is_there(split_from jsonb, piece text) returns boolean
    language plpgsql immutable parallel safe as $$
begin
    for step in 1..100 loop
        exit when piece is null or not split_from ? piece;
        if split_from ->> piece is null then
            return true;
        end if;
        piece := split_from ->> piece;
    end loop;
    return false;
end $$;

grant execute on function benchway.whole(text), benchway.moment(text), benchway.items(json),
    benchway.millimetres(bigint), benchway.inches(bigint), benchway.piece_name(json, text),
    benchway.is_there(jsonb, text)
    to benchway_member;
revoke execute on function benchway.whole(text), benchway.moment(text), benchway.items(json),
    benchway.millimetres(bigint), benchway.inches(bigint), benchway.piece_name(json, text),
    benchway.is_there(jsonb, text)
    from public;

-- Lines, taken apart. PostgreSQL knows nothing of what JSON holds and expects next to no rows
-- where a view asks for an event; then it would work a joined view out again for each row.
-- Behind coalesce it expects half of them.

-- Names sort by their bytes, as in the program, whatever the database does.
create view benchway.lines_read with (security_invoker = true) as
    select shop, batch, station, n, after, at, day, who, answer, event, said
    from (
        select l.shop, l.batch, l.station, l.n, benchway.whole(j.after) as after,
            benchway.moment(j.at) as at, left(j.at, 10) as day, j.who,
            benchway.whole(j.answer ->> 'first') as answer,
            benchway.whole(j.answer ->> 'count') as answer_count,
            count(*) over (partition by l.shop, l.batch, l.station,
                coalesce(benchway.whole(j.answer ->> 'first'), -l.n)) as answer_found,
            e.key as event, e.value as said
        from benchway.line l
        cross join lateral json_to_record(benchway.said(l.line))
            as j (after text, at text, who text, answer json, event json)
        cross join lateral (
            select key, value
            from json_each(case when json_typeof(j.event) = 'object' then j.event end)
            limit 1) e
    ) l
    where coalesce(answer is null or answer_found = answer_count, false)
        and coalesce(after > 0, false);

comment on view benchway.lines_read is
    'Each line taken apart; lines of answers that are not here whole are left out. Rather use entries, which says what was voided.';
comment on column benchway.lines_read.shop is 'The shop.';
comment on column benchway.lines_read.batch is 'The identity of the batch.';
comment on column benchway.lines_read.station is 'The station that wrote the line.';
comment on column benchway.lines_read.n is 'The number of the line at its station.';
comment on column benchway.lines_read.after is 'Its place in the order, before station (by bytes) and n.';
comment on column benchway.lines_read.at is 'When it was written, by the clock of its station.';
comment on column benchway.lines_read.day is 'The day there, as text: 2026-11-25.';
comment on column benchway.lines_read.who is 'Initials of whoever was at the keys; null where nobody said.';
comment on column benchway.lines_read.answer is
    'Where one answer wrote several lines: the number of the first of them.';
comment on column benchway.lines_read.event is 'What happened, by its name, such as reading or gate-opened.';
comment on column benchway.lines_read.said is 'What the line says about it, as JSON; lengths in nanometres.';

-- One level for each step of the program: the last word on a line, the first voided line of
-- each answer, whether anything in it can be voided, and, in batches begun before answers
-- were told apart, what only followed from something voided.
create view benchway.entries with (security_invoker = true) as
    with named as (
        select l.shop, l.batch, l.station, l.n, l.after, l.at, l.day, l.who, l.answer, l.event,
            l.said,
            case when l.event in ('board-listed', 'board-said', 'flaw-found', 'flaw-ruled',
                    'board-aside', 'laid-out', 'layout-accepted', 'mark-drawn') then 0
                else benchway.whole(l.said ->> 'op') end as op,
            l.event in ('reading', 'setting', 'decided', 'board-said', 'flaw-found',
                    'flaw-ruled', 'board-aside', 'laid-out', 'mark-drawn')
                or l.event = 'done' and (l.said ->> 'by_reading') is distinct from 'true'
                or l.event = 'closed' and (l.said ->> 'by_answer') is distinct from 'true'
                as can_be_voided,
            l.answer is null and (l.event in ('first-piece', 'moved', 'timer')
                or l.event = 'done' and (l.said ->> 'by_reading') = 'true'
                or l.event = 'closed' and (l.said ->> 'by_answer') = 'true') as follows,
            coalesce(w.event = 'taken-back', false) as is_named,
            w.at as named_at, w.who as named_by,
            row_number() over (partition by l.shop, l.batch
                order by l.after, l.station collate "C", l.n) as place
        from benchway.lines_read l
        left join (
            select distinct on (shop, batch, of_station, of_n)
                shop, batch, of_station, of_n, event, at, who
            from (
                select shop, batch, station, n, after, event, at, who,
                    said -> 'what' ->> 'station' as of_station,
                    benchway.whole(said -> 'what' ->> 'n') as of_n
                from benchway.lines_read
                where coalesce(event in ('taken-back', 'restored'), false)) w
            order by shop, batch, of_station, of_n, after desc, station collate "C" desc, n desc
        ) w on w.shop = l.shop and w.batch = l.batch and w.of_station = l.station and w.of_n = l.n
    ), from_line as (
        select named.*,
            min(n) filter (where is_named) over answer as voided_from,
            max(named_at) filter (where is_named) over answer as last_named_at,
            max(named_by) filter (where is_named) over answer as last_named_by
        from named
        window answer as (partition by shop, batch, station, coalesce(answer, n))
    ), of_answer as (
        select from_line.*,
            n >= voided_from and bool_or(can_be_voided and n >= voided_from)
                over (partition by shop, batch, station, coalesce(answer, n)) as is_of_voided,
            count(*) filter (where can_be_voided)
                over (partition by shop, batch, station order by place) as run
        from from_line
    ), of_run as (
        select of_answer.*, coalesce(is_of_voided, false)
            or follows and coalesce(bool_or(can_be_voided and is_of_voided)
                over (partition by shop, batch, station, run), false) as is_voided
        from of_answer
    )
    select e.shop, b.name as batch_name, e.batch, e.place, e.after, e.station, e.n, e.at, e.day,
        e.who, e.answer, e.event, e.op, e.said, e.is_voided,
        case when e.is_voided then e.last_named_at end as voided_at,
        case when e.is_voided then e.last_named_by end as voided_by
    from of_run e
    join benchway.batch b on b.shop = e.shop and b.id = e.batch;

comment on view benchway.entries is
    'Each line of each batch in its order: who wrote it, what happened, and whether it was voided. What was voided counts as if it had not happened.';
comment on column benchway.entries.shop is 'The shop.';
comment on column benchway.entries.batch_name is 'What the batch was called when it began.';
comment on column benchway.entries.batch is 'The identity of the batch: names may be used twice.';
comment on column benchway.entries.place is 'The place of the line among all lines of its batch that are here.';
comment on column benchway.entries.after is 'What places are counted from: after, then station by its bytes, then n.';
comment on column benchway.entries.station is 'The station that wrote the line.';
comment on column benchway.entries.n is 'The number of the line at its station.';
comment on column benchway.entries.at is 'When it was written, by the clock of its station.';
comment on column benchway.entries.day is 'The day there, as text: 2026-11-25.';
comment on column benchway.entries.who is 'Initials of whoever was at the keys; null where nobody said.';
comment on column benchway.entries.answer is
    'Where one answer wrote several lines: the number of the first of them. They are voided together.';
comment on column benchway.entries.event is 'What happened, by its name, such as reading or gate-opened.';
comment on column benchway.entries.op is 'The number of the operation; 0 for boards, null where it is about none.';
comment on column benchway.entries.said is 'What the line says about it, as JSON; lengths in nanometres.';
comment on column benchway.entries.is_voided is 'Whether it was voided and not restored.';
comment on column benchway.entries.voided_at is 'When it was voided.';
comment on column benchway.entries.voided_by is 'Initials of whoever voided it.';

-- Pieces. Each entry says something of one piece or several; the last word counts. Where two
-- stations began the batch, split one blank or took in one article, the first one counts.
-- Every step is used once, so that asking for one batch reads only that one.
create view benchway.pieces with (security_invoker = true) as
    with first_ones as (
        select e.*, row_number() over (partition by shop, batch, event, case event
                when 'started' then ''
                when 'split' then said ->> 'from'
                when 'joined' then said ->> 'article'
                else place::text end order by place) as turn,
            json_agg(json_build_array(place, said ->> 'article', said ->> 'spares', said ->> 'why'))
                filter (where event = 'owner-left') over (partition by shop, batch) as owners_left
        from benchway.entries e
        where coalesce(not is_voided and event in ('started', 'split', 'chosen', 'joined',
            'remade', 'labelled', 'decided', 'done', 'owner-left'), false)
    ), about as (
        select e.shop, e.batch_name, e.batch, e.place, i.nth, e.event, e.op, e.at, e.owners_left,
            case e.event when 'split' then e.said ->> 'from' when 'remade' then e.said ->> 'of' end
                as came_from,
            case when e.event = 'decided' then e.said ->> 'decision' end as decision,
            case when e.event = 'decided' then e.said ->> 'why' end as why,
            case e.event when 'done' then i.item #>> '{}' when 'labelled' then e.said ->> 'piece'
                when 'decided' then e.said ->> 'piece'
                else case i.is_blank when true then i.item #>> '{}' else i.item ->> 'id' end
                end as piece,
            case when e.event = 'labelled' then e.said -> 'label'
                when e.event not in ('decided', 'done') and not i.is_blank then i.item -> 'label'
                end as label,
            benchway.whole(i.item ->> 'gang') as gang,
            e.event = 'done' and e.said ->> 'through' = 'true' as is_through,
            e.event not in ('labelled', 'decided', 'done') and not i.is_blank as is_born,
            i.is_blank
        from first_ones e
        cross join lateral (
            select item, nth, false as is_blank
            from json_array_elements(case e.event
                when 'split' then benchway.items(e.said -> 'into')
                when 'done' then benchway.items(e.said -> 'pieces')
                when 'remade' then json_build_array(e.said -> 'born')
                when 'labelled' then '[null]'::json
                when 'decided' then '[null]'::json
                else benchway.items(e.said -> 'born') end) with ordinality as i (item, nth)
            union all
            select e.said -> 'from', 0, true where e.event = 'split') i
        where coalesce(e.turn = 1, false)
    ), last_words as (
        -- Sorted once below: sorting within each of them takes the server many times as long.
        select shop, batch_name, batch, piece,
            min(place) filter (where is_born) as born,
            (array_agg(nth) filter (where is_born))[1] as nth,
            (array_agg(event) filter (where is_born))[1] as came_by,
            (array_agg(came_from) filter (where is_born))[1] as came_from,
            (array_agg(at) filter (where is_born))[1] as came_at,
            (array_agg(gang) filter (where is_born))[1] as gang,
            array_agg(label) filter (where label is not null) as labels,
            max(place) filter (where label is not null) as labelled,
            array_agg(decision) filter (where event in ('decided', 'labelled')) as decisions,
            array_agg(op) filter (where event in ('decided', 'labelled')) as ruled_ops,
            array_agg(why) filter (where event in ('decided', 'labelled')) as ruled_whys,
            max(place) filter (where event in ('decided', 'labelled')) as ruled_at,
            array_agg(array[op, place]) filter (where is_through) as through,
            max(op) filter (where is_through) as last_op,
            bool_or(is_blank) as is_split,
            (array_agg(owners_left))[1] as owners_left
        from (select * from about order by shop, batch_name, batch, piece, place, nth) about
        group by shop, batch_name, batch, piece
    ), ruled as (
        select p.*, p.labels[cardinality(p.labels)] as label,
            coalesce(p.decisions[cardinality(p.decisions)]
                in ('set-aside', 'use-elsewhere', 'remake'), false) as is_aside,
            p.ruled_ops[cardinality(p.ruled_ops)] as ruled_op,
            p.ruled_whys[cardinality(p.ruled_whys)] as ruled_why,
            jsonb_object_agg(piece, last_op) filter (where is_split and piece is not null)
                over (partition by shop, batch) as blanks,
            jsonb_object_agg(piece, case came_by when 'split' then coalesce(came_from, '') end)
                filter (where born is not null and piece is not null)
                over (partition by shop, batch) as split_from
        from last_words p
    )
    select p.shop, p.batch_name, p.batch, p.piece,
        benchway.piece_name(p.label, r.role) as name,
        p.label ->> 'part' as part, benchway.whole(p.label ->> 'number') as number, r.role,
        case when spare.place is null then benchway.whole(p.label ->> 'set') end as article,
        p.label ->> 'hand' as hand,
        coalesce(benchway.whole(p.label ->> 'make'), 1) as make, coalesce(p.gang, 1) as gang,
        p.came_by, p.came_from, p.came_at, p.born as place, p.nth, p.is_split,
        greatest(p.last_op, case p.came_by when 'split' then benchway.whole(p.blanks ->> p.came_from) end)
            as last_op,
        case when p.is_aside then p.ruled_op
            when let_go.place is not null then coalesce((
                select max(p.through[i][1]) from generate_subscripts(p.through, 1) i
                where p.through[i][2] < let_go.place), 0) end as aside_at,
        case when p.is_aside then p.ruled_why else let_go.why end as aside_why
    from ruled p
    -- What was made for an article whose owner left: spares, or set aside where it is.
    left join lateral (
        select min(benchway.whole(o ->> 0)) as place
        from json_array_elements(benchway.items(p.owners_left)) o
        where benchway.whole(o ->> 0) > p.labelled and o ->> 1 = p.label ->> 'set'
            and o ->> 2 = 'true' and p.label ->> 'role' = 'set') spare on true
    left join lateral (
        select benchway.whole(o ->> 0) as place, o ->> 3 as why
        from json_array_elements(benchway.items(p.owners_left)) o
        where benchway.whole(o ->> 0) > greatest(p.labelled, p.ruled_at)
            and benchway.whole(o ->> 0) < coalesce(spare.place, 9223372036854775807)
            and o ->> 1 = p.label ->> 'set'
            and not (o ->> 2 = 'true' and p.label ->> 'role' = 'set')
            and not p.is_aside
        order by 1 limit 1) let_go on true
    cross join lateral (
        select case when spare.place is null then p.label ->> 'role' else 'spare' end as role) r
    where p.born is not null
        and (p.came_by <> 'split' or benchway.is_there(p.split_from, p.piece));

comment on view benchway.pieces is
    'Each piece of each batch: what it is called now, where it came from, how far it is through, and where it was set aside.';
comment on column benchway.pieces.shop is 'The shop.';
comment on column benchway.pieces.batch_name is 'What the batch was called when it began.';
comment on column benchway.pieces.batch is 'The identity of the batch.';
comment on column benchway.pieces.piece is 'The identity of the piece, for good: its station and a number.';
comment on column benchway.pieces.name is 'What it is called now: leg 4 spare.';
comment on column benchway.pieces.part is 'The part.';
comment on column benchway.pieces.number is 'Counted from one within its part and role.';
comment on column benchway.pieces.role is
    'set, spare, setup (to prove settings on) or blank (several pieces in one length).';
comment on column benchway.pieces.article is 'Which article it is for, counted from one; null for none.';
comment on column benchway.pieces.hand is 'Which of the handed pieces of its article it is: front left.';
comment on column benchway.pieces.make is 'The second, third … made in this place; 1 for the first.';
comment on column benchway.pieces.gang is 'How many finished pieces are still one length in it.';
comment on column benchway.pieces.came_by is
    'The event that brought it in: started, split, remade, chosen (a choice needed more wood) or joined (somebody joined late).';
comment on column benchway.pieces.came_from is
    'The blank it was split from, or the lost piece it was made in place of.';
comment on column benchway.pieces.came_at is 'When that was.';
comment on column benchway.pieces.place is 'The place in the journal where it came in; with nth the cut order.';
comment on column benchway.pieces.nth is 'Its turn among the pieces of that line.';
comment on column benchway.pieces.is_split is 'Whether it was cut into its pieces and is no longer one.';
comment on column benchway.pieces.last_op is
    'The highest operation that it, or the blank it came from, is through.';
comment on column benchway.pieces.aside_at is 'The operation where it left the others; null where it goes on.';
comment on column benchway.pieces.aside_why is 'Why, as it was typed.';

create view benchway.readings with (security_invoker = true) as
    select e.shop, e.batch_name, e.batch, e.place, e.station, e.n, e.at, e.day, e.who, e.op,
        p.part, coalesce(p.name, e.piece) as piece_name, e.piece, p.article,
        e.feature, e.size as nanometres, benchway.millimetres(e.size) as mm,
        benchway.inches(e.size) as inches, e.typed, e.gauge,
        benchway.millimetres(e.uncertainty) as uncertainty_mm,
        benchway.millimetres(e.target) as target_mm, benchway.millimetres(e.low) as low_mm,
        benchway.millimetres(e.high) as high_mm,
        case when e.says = '"in"' then 'in'
            when e.says = '"too-big"' then 'too big'
            when e.says = '"too-small"' then 'too small'
            when e.size is null then null
            when e.size - e.high > e.uncertainty then 'too big'
            when e.low - e.size > e.uncertainty then 'too small'
            when coalesce(e.size - e.high <= -e.uncertainty, true)
                and coalesce(e.low - e.size <= -e.uncertainty, true) then 'in'
            else 'too close to call' end as verdict,
        e.is_voided, e.voided_at, e.voided_by
    from (
        select e.*, r.piece, r.feature, r.says::text as says, r.typed, r.gauge,
            benchway.whole(case when json_typeof(r.says) = 'object' then r.says ->> 'size' end) as size,
            coalesce(benchway.whole(r.uncertainty), 0) as uncertainty,
            benchway.whole(r.target) as target, benchway.whole(r.low) as low,
            benchway.whole(r.high) as high
        from benchway.entries e
        cross join lateral json_to_record(
            case when json_typeof(e.said) = 'object' then e.said else '{}' end)
            as r (piece text, feature text, says json, typed text, gauge text, uncertainty text,
                target text, low text, high text)
        where coalesce(e.event = 'reading', false)) e
    left join benchway.pieces p on p.shop = e.shop and p.batch = e.batch and p.piece = e.piece;

comment on view benchway.readings is
    'Each reading, the voided ones too, with the limits of its own time and what they say of it.';
comment on column benchway.readings.shop is 'The shop.';
comment on column benchway.readings.batch_name is 'What the batch was called when it began.';
comment on column benchway.readings.batch is 'The identity of the batch.';
comment on column benchway.readings.place is 'The place of its line among all lines of the batch.';
comment on column benchway.readings.station is 'The station that wrote it.';
comment on column benchway.readings.n is 'The number of its line there.';
comment on column benchway.readings.at is 'When it was taken, by the clock of the station.';
comment on column benchway.readings.day is 'The day there, as text: 2026-11-25.';
comment on column benchway.readings.who is 'Initials of whoever took it.';
comment on column benchway.readings.op is 'The number of the operation.';
comment on column benchway.readings.part is 'The part the piece is now.';
comment on column benchway.readings.piece_name is 'What the piece is called now.';
comment on column benchway.readings.piece is 'The identity of the piece.';
comment on column benchway.readings.article is 'The article the piece is for.';
comment on column benchway.readings.feature is 'What is measured: length, thickness, mortise depth …';
comment on column benchway.readings.nanometres is
    'The size, exactly; null where a gauge only says go or no-go.';
comment on column benchway.readings.mm is 'The size in millimetres.';
comment on column benchway.readings.inches is 'The size in inches.';
comment on column benchway.readings.typed is 'The size as it was typed.';
comment on column benchway.readings.gauge is 'The gauge, by its name in the shop file.';
comment on column benchway.readings.uncertainty_mm is
    'Expanded uncertainty of the gauge (k = 2), in millimetres; 0 for go and no-go.';
comment on column benchway.readings.target_mm is 'The size wanted, where one is named.';
comment on column benchway.readings.low_mm is 'The low limit when it was taken; null where there is none.';
comment on column benchway.readings.high_mm is 'The high limit when it was taken; null where there is none.';
comment on column benchway.readings.verdict is
    'in, too big, too small or too close to call: the reading with its uncertainty, against its limits.';
comment on column benchway.readings.is_voided is 'Whether it was voided; then it counts for nothing.';
comment on column benchway.readings.voided_at is 'When it was voided.';
comment on column benchway.readings.voided_by is 'Initials of whoever voided it.';

create view benchway.settings with (security_invoker = true) as
    select e.shop, e.batch_name, e.batch, e.place, e.station, e.n, e.at, e.day, e.who, e.op,
        r.stored ->> 'setting' as setting, benchway.whole(r.stored ->> 'pass') as pass,
        benchway.millimetres(benchway.whole(r.stored ->> 'target')) as target_mm,
        benchway.whole(r.stored ->> 'dial') as must_show_nanometres,
        benchway.millimetres(benchway.whole(r.stored ->> 'dial')) as must_show_mm,
        benchway.inches(benchway.whole(r.stored ->> 'dial')) as must_show_inches,
        benchway.whole(r.shown) as shown_nanometres,
        benchway.millimetres(benchway.whole(r.shown)) as shown_mm,
        benchway.inches(benchway.whole(r.shown)) as shown_inches,
        r.typed, r."right" = 'true' as is_right, r.tool,
        json_array_length(benchway.items(r.pieces)) as only_pieces,
        e.is_voided, e.voided_at, e.voided_by
    from benchway.entries e
    cross join lateral json_to_record(
        case when json_typeof(e.said) = 'object' then e.said else '{}' end)
        as r (stored json, pieces json, tool text, shown text, typed text, "right" text)
    where coalesce(e.event = 'setting', false);

comment on view benchway.settings is
    'Each time a scale was set and read: what it had to show, and what it showed.';
comment on column benchway.settings.shop is 'The shop.';
comment on column benchway.settings.batch_name is 'What the batch was called when it began.';
comment on column benchway.settings.batch is 'The identity of the batch.';
comment on column benchway.settings.place is 'The place of its line among all lines of the batch.';
comment on column benchway.settings.station is 'The station that wrote it.';
comment on column benchway.settings.n is 'The number of its line there.';
comment on column benchway.settings.at is 'When the scale was read, by the clock of the station.';
comment on column benchway.settings.day is 'The day there, as text: 2026-11-25.';
comment on column benchway.settings.who is 'Initials of whoever set it.';
comment on column benchway.settings.op is 'The number of the operation.';
comment on column benchway.settings.setting is 'The setting, by its name in the route.';
comment on column benchway.settings.pass is 'The pass, where the operation has several.';
comment on column benchway.settings.target_mm is 'The size the setting is for.';
comment on column benchway.settings.must_show_nanometres is 'What the scale had to show, exactly.';
comment on column benchway.settings.must_show_mm is 'What the scale had to show, in millimetres.';
comment on column benchway.settings.must_show_inches is 'What the scale had to show, in inches.';
comment on column benchway.settings.shown_nanometres is 'What the scale showed, exactly.';
comment on column benchway.settings.shown_mm is 'What the scale showed, in millimetres.';
comment on column benchway.settings.shown_inches is 'What the scale showed, in inches.';
comment on column benchway.settings.typed is 'What it showed, as it was typed.';
comment on column benchway.settings.is_right is 'Whether it showed what was asked for.';
comment on column benchway.settings.tool is 'The tool, where the line names one.';
comment on column benchway.settings.only_pieces is 'How many pieces it is for; 0 for all of them.';
comment on column benchway.settings.is_voided is 'Whether it was voided.';
comment on column benchway.settings.voided_at is 'When it was voided.';
comment on column benchway.settings.voided_by is 'Initials of whoever voided it.';

create view benchway.findings with (security_invoker = true) as
    select e.shop, e.batch_name, e.batch, e.place, e.station, e.n,
        case e.event when 'reading' then e.voided_at else e.at end as at,
        case e.event when 'reading' then e.voided_by else e.who end as who,
        case e.event when 'begun-with-errors' then 'begun with errors'
            when 'gate-opened' then 'opened early'
            when 'made' then 'made value'
            when 'accepted' then 'made values accepted'
            when 'reading' then 'reading voided'
            else replace(e.event, '-', ' ') end as finding,
        e.op, p.name as piece_name, e.piece,
        case e.event
            when 'begun-with-errors' then (
                select string_agg(item, '; ' order by nth)
                from json_array_elements_text(benchway.items(e.said -> 'errors'))
                    with ordinality as errors (item, nth))
            when 'decided' then replace(e.said ->> 'decision', '-', ' ')
            when 'made' then concat(e.said ->> 'dim', ' ',
                trim_scale(benchway.millimetres(benchway.whole(e.said ->> 'value'))), ' mm, ',
                e.said ->> 'words')
            when 'accepted' then concat(
                json_array_length(benchway.items(e.said -> 'changes')), ' settings follow')
            when 'reading' then concat(e.said ->> 'feature', ' ', e.said ->> 'typed')
            when 'sealed' then (
                select string_agg(concat(item ->> 'station', ': ', item ->> 'lines', ' lines'), '; '
                    order by nth)
                from json_array_elements(benchway.items(e.said -> 'stations'))
                    with ordinality as stations (item, nth))
            when 'owner-left' then concat('article ', e.said ->> 'article')
            when 'board-aside' then e.said ->> 'board' end as what,
        e.said ->> 'by' as by, e.said ->> 'why' as why, e.is_voided
    from (
        select e.*, e.said ->> 'piece' as piece from benchway.entries e
        where coalesce(e.event in ('begun-with-errors', 'gate-opened', 'decided', 'made',
                'accepted', 'sealed', 'route-adopted', 'shop-adopted', 'owner-left', 'board-aside')
            or e.event = 'reading' and e.is_voided, false)) e
    left join benchway.pieces p on p.shop = e.shop and p.batch = e.batch and p.piece = e.piece;

comment on view benchway.findings is
    'What a lead looks for: decisions, operations opened early, accepted values, voided readings, batches begun with errors, adopted files, and seals.';
comment on column benchway.findings.shop is 'The shop.';
comment on column benchway.findings.batch_name is 'What the batch was called when it began.';
comment on column benchway.findings.batch is 'The identity of the batch.';
comment on column benchway.findings.place is 'The place of its line among all lines of the batch.';
comment on column benchway.findings.station is 'The station that wrote the line.';
comment on column benchway.findings.n is 'The number of the line there.';
comment on column benchway.findings.at is 'When it happened; of a voided reading, when it was voided.';
comment on column benchway.findings.who is
    'Initials of whoever was at the keys; of a voided reading, of whoever voided it.';
comment on column benchway.findings.finding is
    'begun with errors, opened early, decided, made value, made values accepted, reading voided, sealed, route adopted, shop adopted, owner left or board aside.';
comment on column benchway.findings.op is 'The number of the operation; null where it is about none.';
comment on column benchway.findings.piece_name is 'What the piece is called now; null where it is about none.';
comment on column benchway.findings.piece is 'The identity of the piece.';
comment on column benchway.findings.what is
    'What it is about, in words: the decision, the value, the reading as typed, the errors.';
comment on column benchway.findings.by is 'Initials of the lead, where one had to say so.';
comment on column benchway.findings.why is 'The reason, as it was typed.';
comment on column benchway.findings.is_voided is 'Whether its line was voided.';

-- The batch at which each station wrote last today, read from its beginning: people may be
-- there since before.
create view benchway.today with (security_invoker = true) as
    select coalesce(w.shop, c.shop) as shop, coalesce(w.station, c.station) as station,
        w.batch_name, w.batch, t.who, t.since, t.op,
        case when t.since is not null then greatest(t.op_since, t.since) end as op_since,
        w.wrote_at, t.left_at, c.station is not null as is_connected, c.since as connected_since
    from (
        select distinct on (l.shop, l.station) l.shop, l.station, l.batch, b.name as batch_name,
            m.at as wrote_at
        from benchway.line l
        join benchway.batch b on b.shop = l.shop and b.id = l.batch
        cross join lateral (
            select benchway.moment(benchway.said(l.line) ->> 'at') as at offset 0) m
        -- What was written today came today, or a clock is wrong.
        where l.arrived >= date_trunc('day', now()) - interval '1 day'
            and m.at >= date_trunc('day', now())
        order by l.shop, l.station, m.at desc, l.n desc) w
    full join benchway.connected() c on c.shop = w.shop and c.station = w.station
    left join lateral (
        select
            (array_agg(o.who order by o.place desc) filter (where o.event = 'people'))[1] as who,
            (array_agg(o.at order by o.place desc) filter (where o.is_come))[1] as since,
            (array_agg(o.op order by o.place desc) filter (where o.is_at))[1] as op,
            (array_agg(o.at order by o.place desc) filter (where o.is_begun))[1] as op_since,
            max(o.at) filter (where o.event = 'station-left' and o.is_last) as left_at
        from (
            select s.*,
                s.event = 'people' and not coalesce(s.event_before <> 'station-left'
                    and s.people = s.people_before and s.day = s.day_before, false) as is_come,
                s.is_at and s.op is distinct from s.op_before as is_begun
            from (
                select e.place, e.at, e.day, e.event, e.op, k.is_at, people.who, people.sorted as people,
                    lag(e.event) over station as event_before,
                    lag(people.sorted) over of_kind as people_before,
                    lag(e.day) over of_kind as day_before,
                    lag(e.op) over of_kind as op_before,
                    lead(e.n) over station is null as is_last
                from benchway.entries e
                cross join lateral (
                    select e.op is not null and not e.is_voided and e.event in ('tool', 'setting', 'moved',
                        'first-piece', 'done', 'split', 'decided', 'gate-opened', 'closed', 'left',
                        'reading', 'board-listed', 'board-said', 'flaw-found', 'flaw-ruled',
                        'board-aside', 'laid-out', 'layout-accepted', 'mark-drawn') as is_at) k
                left join lateral (
                    select string_agg(item, ' ' order by nth) as who,
                        string_agg(item, ' ' order by item collate "C") as sorted
                    from json_array_elements_text(benchway.items(e.said -> 'present'))
                        with ordinality as present (item, nth)
                    where e.event = 'people') people on true
                where e.shop = w.shop and e.batch = w.batch and e.station = w.station
                window station as (order by e.place),
                    of_kind as (partition by e.event = 'people', k.is_at order by e.place)) s) o
    ) t on true;

comment on view benchway.today is
    'Each station that wrote today or is connected now: at which batch and operation, who is there, and since when. The day is the one of your time zone.';
comment on column benchway.today.shop is 'The shop.';
comment on column benchway.today.station is 'The station.';
comment on column benchway.today.batch_name is
    'The batch in which it wrote last today; null where it only is connected.';
comment on column benchway.today.batch is 'The identity of the batch.';
comment on column benchway.today.who is 'Initials of the people there; the first one is at the keys.';
comment on column benchway.today.since is 'Since when they are there.';
comment on column benchway.today.op is 'The operation it is at; 0 for boards.';
comment on column benchway.today.op_since is 'Since when they are at it.';
comment on column benchway.today.wrote_at is 'When it wrote last, by its own clock.';
comment on column benchway.today.left_at is
    'When its people left; null while they are there, or went without leaving.';
comment on column benchway.today.is_connected is 'Whether it has an open connection now.';
comment on column benchway.today.connected_since is 'Since when.';

grant select on benchway.lines_read, benchway.entries, benchway.pieces, benchway.readings,
    benchway.settings, benchway.findings, benchway.today to benchway_member;
