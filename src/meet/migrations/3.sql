-- Less work for the server at each line: who is asking, and whether a line is what it says, is
-- planned with the question and not anew at each, and nobody is woken who looks anyway.

-- What is said of whoever asks, for row security. A view whose rows its owner reads is
-- planned once a connection with the statement that needs it; a function each time.
create view benchway.own_member with (security_barrier = true) as
    select shop, station, role from benchway.member
    where login = session_user and revoked is null;

-- Few members on a page, so that one is found by its login also where they aren't many.
alter table benchway.member set (fillfactor = 10);

-- Batches that wait are few, and the server needn't go over all others for them.
create index batch_that_waits on benchway.batch (shop) where waits;

-- Batches of the own shops that wait for a lead, and that whoever asks doesn't see.
create view benchway.own_hidden with (security_barrier = true) as
    select b.id
    from benchway.own_member m
    join benchway.batch b on b.shop = m.shop and b.waits
    where not (m.role = 'lead' or coalesce(b.begun_by = m.station, false))
      and not exists (
          select from benchway.batch_act a
          where a.shop = b.shop and a.batch = b.id and a.act = 'taken in');

comment on view benchway.own_member is 'Your own login: its shops, its station, what it may do.';
comment on column benchway.own_member.shop is 'The shop.';
comment on column benchway.own_member.station is 'The station; null for a reader.';
comment on column benchway.own_member.role is 'station, lead or reader.';
comment on view benchway.own_hidden is
    'Batches of your shops that wait for a lead to take them in, and that you don''t see.';
comment on column benchway.own_hidden.id is 'The identity of the batch.';
grant select on benchway.own_member, benchway.own_hidden to benchway_member;

create or replace function benchway.hidden_batches() returns uuid[]
    language sql stable security definer set search_path = '' as $$
    select coalesce(array_agg(id), '{}') from benchway.own_hidden
$$;

alter policy read on benchway.line
    using (shop = any (array(select m.shop from benchway.own_member m))
        and batch not in (select h.id from benchway.own_hidden h));
-- What is added is checked by row security too. A trigger that asks costs several times as
-- much as adding a line does; what row security asks belongs to the plan of the statement.

-- Batches that whoever asks may add lines to at once. Those that wait are asked for otherwise.
create view benchway.own_open with (security_barrier = true) as
    select m.shop, m.station, b.id
    from benchway.own_member m
    join benchway.batch b on b.shop = m.shop
    where m.station is not null and not b.waits;
comment on view benchway.own_open is
    'Batches that your own station adds lines to, but for those that wait for a lead.';
comment on column benchway.own_open.shop is 'The shop.';
comment on column benchway.own_open.station is 'Your own station.';
comment on column benchway.own_open.id is 'The identity of the batch.';
grant select on benchway.own_open to benchway_member;

-- Whether a station may add lines to a batch: false where it is not the own one.
create function benchway.may_add_to(shop text, batch uuid, station text) returns boolean
    language plpgsql stable security definer set search_path = '' as $$
begin
    if not exists (
        select from benchway.own_member m
        where m.shop = may_add_to.shop and m.station = may_add_to.station)
    then
        return false;
    end if;
    if not exists (
        select from benchway.batch b
        where b.shop = may_add_to.shop and b.id = may_add_to.batch
          and (not b.waits or b.id not in (select h.id from benchway.own_hidden h)))
    then
        raise foreign_key_violation using message = 'this shop has no such batch';
    end if;
    return true;
end $$;

-- Whether a line is written as the program writes it, so that its text alone shows its
-- station, its number, and that it seals nothing; false where only its JSON can tell.
-- Without a backslash each name stands in quotes as it is. The station belongs to the line
-- itself where no other brace was opened before it.
create function benchway.is_plain(line text, station text, n bigint) returns boolean
    language sql immutable parallel safe
    return strpos(line, '\') = 0
        and strpos(station, '"') = 0
        and starts_with(line, '{"v":1,"n":' || n::text || ',"after":')
        and left(line, strpos(line, ',"station":"' || station || '",')) like '{%,'
        and left(line, strpos(line, ',"station":"' || station || '",')) not like '_%{%'
        and line not like '%"station"%"station"%'
        and line not like '%"n"%"n"%'
        and line not like '%"sealed"%';

-- The same of any line, by its JSON.
create function benchway.is_true(line text, station text, n bigint) returns boolean
    language plpgsql stable security definer set search_path = '' as $$
declare
    said json := benchway.said(line);
begin
    if said ->> 'station' is distinct from station or said ->> 'n' is distinct from n::text then
        raise check_violation
            using message = format('line %s of %s says it is another', n, station);
    end if;
    if said -> 'event' -> 'sealed' is not null and not benchway.is_lead() then
        raise insufficient_privilege using message = 'only a lead seals a batch';
    end if;
    return true;
end $$;

alter policy write on benchway.line
    with check (
        case when (
                select true from benchway.own_open o
                where o.shop = line.shop and o.station = line.station and o.id = line.batch)
            then true else benchway.may_add_to(shop, batch, station) end
        and case when benchway.is_plain(line, station, n)
            then line::json is not null else benchway.is_true(line, station, n) end);

-- A notification wakes every connection of the database that listens to anything, also those
-- of other shops. So a terminal says when it waits for word, and where nobody does, nobody is
-- woken: while lines come one after the other, terminals look by themselves.
--
-- Two locks of a shop say so, each shared by all who are alike: one is held by terminals as
-- long as they wait, one by whoever adds lines, until these are there for all to see. Whoever
-- adds lines takes theirs first and then tries for a moment whether the other one is free. A
-- terminal takes its own first, and waits only where the other one is free for a moment; then
-- it looks once more. So either the terminal sees the lines, or they are told.

-- The first half of the keys of these locks; the second is the shop.
create function benchway.waiting_key() returns integer
    language sql immutable parallel safe
    return 1650814563;

create function benchway.adding_key() returns integer
    language sql immutable parallel safe
    return 1650814564;

-- True where the terminal waits for word from now on; false where somebody adds lines right
-- now, so that it has to try again.
create function benchway.wait_for_word(shop text) returns boolean
    language plpgsql volatile set search_path = '' as $$
begin
    if not pg_try_advisory_lock_shared(benchway.waiting_key(), hashtext(shop)) then
        return false;
    end if;
    if not pg_try_advisory_lock(benchway.adding_key(), hashtext(shop)) then
        perform pg_advisory_unlock_shared(benchway.waiting_key(), hashtext(shop));
        return false;
    end if;
    perform pg_advisory_unlock(benchway.adding_key(), hashtext(shop));
    return true;
end $$;

-- Wakes those who wait. The keys of adding and of waiting stand here as numbers, because the
-- condition is prepared anew for each statement, and a function in it would be too.
create or replace function benchway.lines_added() returns trigger
    language plpgsql security definer set search_path = '' as $$
begin
    perform pg_catalog.pg_notify('benchway_' || md5(new.shop), '');
    return null;
end $$;
drop trigger lines_added on benchway.line;
create trigger lines_added after insert on benchway.line
    for each row when (not (
        pg_try_advisory_xact_lock_shared(1650814564, hashtext(new.shop))
        and pg_try_advisory_lock(1650814563, hashtext(new.shop))
        and pg_advisory_unlock(1650814563, hashtext(new.shop))))
    execute function benchway.lines_added();

revoke all on function benchway.waiting_key(), benchway.adding_key(),
    benchway.wait_for_word(text), benchway.may_add_to(text, uuid, text),
    benchway.is_plain(text, text, bigint), benchway.is_true(text, text, bigint) from public;
grant execute on function benchway.waiting_key(), benchway.adding_key(),
    benchway.wait_for_word(text), benchway.may_add_to(text, uuid, text),
    benchway.is_plain(text, text, bigint), benchway.is_true(text, text, bigint)
    to benchway_member;
