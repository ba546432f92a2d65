-- Shops, members, batches and lines, and who may do what with them.
--
-- Lines and batches are only ever added to. Nobody but the owner of these tables may
-- change or delete anything; whoever writes is held to their own shop and station by
-- row security.

-- Roles belong to the whole server, so another database may have made them.
do $$
declare
    wanted text;
begin
    foreach wanted in array
        array['benchway_member', 'benchway_station', 'benchway_lead', 'benchway_reader']
    loop
        if not exists (select from pg_catalog.pg_roles where rolname = wanted) then
            begin
                execute format('create role %I nologin', wanted);
            exception when duplicate_object or unique_violation then
                -- Another database of this server makes them right now.
            end;
        end if;
    end loop;
end $$;
grant benchway_member to benchway_station, benchway_lead, benchway_reader;
grant benchway_station to benchway_lead;

create table benchway.member (
    login name not null,
    shop text not null check (shop <> ''),
    station text check (station <> ''),
    role text not null check (role in ('station', 'lead', 'reader')),
    since timestamptz not null default now(),
    revoked timestamptz,
    primary key (login, shop),
    check ((role = 'reader') = (station is null))
);
create unique index member_one_login_a_station
    on benchway.member (shop, station) where station is not null and revoked is null;
create unique index member_one_shop_a_station
    on benchway.member (login) where station is not null and revoked is null;

create table benchway.batch (
    shop text not null,
    id uuid not null,
    name text not null,
    begun_by text not null,
    route text not null,
    shop_file text not null,
    waits boolean not null,
    arrived timestamptz not null default now(),
    primary key (shop, id)
);

create table benchway.batch_act (
    n bigint generated always as identity primary key,
    shop text not null,
    batch uuid not null,
    act text not null check (act in ('taken in', 'archived', 'brought back')),
    station text not null,
    at timestamptz not null default now(),
    foreign key (shop, batch) references benchway.batch (shop, id)
);
create index batch_act_of_batch on benchway.batch_act (shop, batch, n);

create table benchway.line (
    shop text not null,
    batch uuid not null,
    station text not null,
    n bigint not null check (n > 0),
    line text not null,
    arrived timestamptz not null default now(),
    primary key (shop, batch, station, n)
);

-- Who is asking. The login that opened the connection counts, whatever role was taken since.

create function benchway.own_shop() returns text
    language sql stable security definer set search_path = '' as $$
    select shop from benchway.member
    where login = session_user and station is not null and revoked is null
$$;

create function benchway.own_station() returns text
    language sql stable security definer set search_path = '' as $$
    select station from benchway.member
    where login = session_user and station is not null and revoked is null
$$;

create function benchway.is_lead() returns boolean
    language sql stable security definer set search_path = '' as $$
    select exists (
        select from benchway.member
        where login = session_user and role = 'lead' and revoked is null)
$$;

create function benchway.own_shops() returns text[]
    language sql stable security definer set search_path = '' as $$
    select coalesce(array_agg(shop), '{}') from benchway.member
    where login = session_user and revoked is null
$$;

-- A line as JSON. PostgreSQL has no text for a null character, nor for half a character, and
-- refuses the whole line for one of them; the line itself stays as it is.
create function benchway.said(line text) returns json
    language sql immutable parallel safe
    return case when strpos(line, '\u') = 0 then line::json
        else regexp_replace(line,
            '(?<!\\)((?:\\\\)*)\\u(0000|[dD][89a-fA-F][0-9a-fA-F]{2})', '\1\ufffd', 'g')::json end;

-- Batches that wait for a lead are seen by the leads of their shop and by the station that
-- began them.
create function benchway.hidden_batches() returns uuid[]
    language sql stable security definer set search_path = '' as $$
    select coalesce(array_agg(b.id), '{}')
    from benchway.batch b
    where b.waits
      and b.shop = any (benchway.own_shops())
      and not coalesce(b.shop = benchway.own_shop()
          and (benchway.is_lead() or b.begun_by = benchway.own_station()), false)
      and not exists (
          select from benchway.batch_act a
          where a.shop = b.shop and a.batch = b.id and a.act = 'taken in')
$$;

-- Stations with an open connection: who is there, and who vanished without a word.
create function benchway.connected() returns table (shop text, station text, since timestamptz)
    language sql stable security definer set search_path = '' as $$
    select m.shop, m.station, min(a.backend_start)
    from benchway.member m
    join pg_catalog.pg_stat_activity a
        on a.usename = m.login and a.datname = current_database()
    where m.station is not null and m.revoked is null
      and m.shop = any (benchway.own_shops())
    group by m.shop, m.station
$$;

-- What is added says what it is about, and wakes the others of its shop. A notification
-- carries nothing: everybody may listen to every channel.

create function benchway.lines_added() returns trigger
    language plpgsql security definer set search_path = '' as $$
declare
    wrong record;
    is_sealed boolean;
begin
    select a.station, a.n into wrong from added a
    where (benchway.said(a.line) ->> 'station') is distinct from a.station
       or (benchway.said(a.line) ->> 'n') is distinct from a.n::text
    limit 1;
    if found then
        raise check_violation
            using message = format('line %s of %s says it is another', wrong.n, wrong.station);
    end if;
    -- A name may be written with escapes.
    select bool_or((a.line like '%"sealed"%' or strpos(a.line, '\u') > 0)
            and benchway.said(a.line) -> 'event' -> 'sealed' is not null)
        into is_sealed from added a;
    if is_sealed and not benchway.is_lead() then
        raise insufficient_privilege using message = 'only a lead seals a batch';
    end if;
    if exists (
        select from (select distinct a.shop, a.batch from added a) a
        where not exists (
            select from benchway.batch b where b.shop = a.shop and b.id = a.batch)
           or a.batch = any (benchway.hidden_batches()))
    then
        raise foreign_key_violation using message = 'this shop has no such batch';
    end if;
    perform pg_catalog.pg_notify('benchway_' || md5(a.shop), '')
        from (select distinct added.shop from added) a;
    return null;
end $$;
create trigger lines_added after insert on benchway.line
    referencing new table as added for each statement execute function benchway.lines_added();

create function benchway.batches_changed() returns trigger
    language plpgsql security definer set search_path = '' as $$
begin
    perform pg_catalog.pg_notify('benchway_batches_' || md5(new.shop), '');
    return null;
end $$;
create trigger batches_changed after insert on benchway.batch
    for each row execute function benchway.batches_changed();
create trigger batches_changed after insert on benchway.batch_act
    for each row execute function benchway.batches_changed();
create trigger batches_changed after insert or update on benchway.member
    for each row execute function benchway.batches_changed();

-- Row security.

alter table benchway.member enable row level security;
alter table benchway.batch enable row level security;
alter table benchway.batch_act enable row level security;
alter table benchway.line enable row level security;

create policy read on benchway.member for select to benchway_member
    using (shop = any ((select benchway.own_shops())::text[]));
create policy read on benchway.batch for select to benchway_member
    using (shop = any ((select benchway.own_shops())::text[])
        and id <> all ((select benchway.hidden_batches())::uuid[]));
create policy read on benchway.batch_act for select to benchway_member
    using (shop = any ((select benchway.own_shops())::text[]));
create policy read on benchway.line for select to benchway_member
    using (shop = any ((select benchway.own_shops())::text[])
        and batch <> all ((select benchway.hidden_batches())::uuid[]));

create policy write on benchway.line for insert to benchway_station
    with check (shop = (select benchway.own_shop())
        and station = (select benchway.own_station()));
create policy begin on benchway.batch for insert to benchway_station
    with check (shop = (select benchway.own_shop())
        and waits = not (select benchway.is_lead())
        and (begun_by = (select benchway.own_station()) or (select benchway.is_lead())));
create policy act on benchway.batch_act for insert to benchway_lead
    with check (shop = (select benchway.own_shop())
        and station = (select benchway.own_station())
        and (select benchway.is_lead()));

revoke all on schema benchway from public;
revoke all on all tables in schema benchway from public;
revoke all on all functions in schema benchway from public;
grant usage on schema benchway to benchway_member;
grant select on benchway.member, benchway.batch, benchway.batch_act, benchway.line,
    benchway.version to benchway_member;
grant execute on function benchway.own_shop(), benchway.own_station(), benchway.is_lead(),
    benchway.own_shops(), benchway.hidden_batches(), benchway.connected(),
    benchway.said(text) to benchway_member;
grant insert (shop, id, name, begun_by, route, shop_file, waits) on benchway.batch
    to benchway_station;
grant insert (shop, batch, station, n, line) on benchway.line to benchway_station;
grant insert (shop, batch, act, station) on benchway.batch_act to benchway_lead;

-- What terminals ask for first.
create view benchway.batches with (security_invoker = true) as
    select b.shop, b.id, b.name, b.begun_by, b.arrived,
        b.waits and not exists (
            select from benchway.batch_act a
            where a.shop = b.shop and a.batch = b.id and a.act = 'taken in') as waits,
        coalesce((
            select a.act = 'archived' from benchway.batch_act a
            where a.shop = b.shop and a.batch = b.id and a.act <> 'taken in'
            order by a.n desc limit 1), false) as is_archived
    from benchway.batch b;
comment on view benchway.batches is
    'Every batch of your shops: whether it waits for a lead to take it in, and whether it is archived.';
comment on column benchway.batches.shop is 'The shop.';
comment on column benchway.batches.id is 'The identity of the batch: names may be used twice.';
comment on column benchway.batches.name is 'What it was called when it began.';
comment on column benchway.batches.begun_by is 'The station that began it.';
comment on column benchway.batches.arrived is 'When the server heard of it.';
comment on column benchway.batches.waits is 'Whether it waits for a lead to take it in.';
comment on column benchway.batches.is_archived is 'Whether a lead archived it.';
grant select on benchway.batches to benchway_member;

comment on schema benchway is 'Batches of wood shops: what every terminal wrote, line by line.';
comment on table benchway.member is
    'Which login is which station of which shop, and what it may do.';
comment on table benchway.batch is
    'Each batch with its route and shop file as they were when it began.';
comment on table benchway.batch_act is 'What leads did with whole batches.';
comment on table benchway.line is
    'Each line of a journal as its station wrote it; line is JSON, lengths in nanometres.';
comment on column benchway.line.arrived is 'When it came here; the order never comes from it.';
