-- Less work for the server at each line: who is asking is planned with the question and not
-- anew at each, and nobody is woken who looks anyway.

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
alter policy write on benchway.line
    with check ((shop, station) = (
        select m.shop, m.station from benchway.own_member m where m.station is not null));

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

-- Whether lines that are added now must be told.
create function benchway.is_waited_for(shop text) returns boolean
    language plpgsql volatile set search_path = '' as $$
begin
    if not pg_try_advisory_xact_lock_shared(benchway.adding_key(), hashtext(shop))
        or not pg_try_advisory_lock(benchway.waiting_key(), hashtext(shop))
    then
        return true;
    end if;
    perform pg_advisory_unlock(benchway.waiting_key(), hashtext(shop));
    return false;
end $$;

-- Two questions and no more, because each costs as much as adding a line.
create or replace function benchway.lines_added() returns trigger
    language plpgsql security definer set search_path = '' as $$
declare
    found_wrong boolean;
    found_sealed boolean;
    is_there boolean;
    woken bigint;
begin
    -- A name may be written with escapes.
    select bool_or((benchway.said(a.line) ->> 'station') is distinct from a.station
                or (benchway.said(a.line) ->> 'n') is distinct from a.n::text),
            bool_or((a.line like '%"sealed"%' or strpos(a.line, '\u') > 0)
                and benchway.said(a.line) -> 'event' -> 'sealed' is not null)
        into found_wrong, found_sealed from added a;
    if found_wrong then
        raise check_violation using message = (
            select format('line %s of %s says it is another', a.n, a.station) from added a
            where (benchway.said(a.line) ->> 'station') is distinct from a.station
               or (benchway.said(a.line) ->> 'n') is distinct from a.n::text
            limit 1);
    end if;
    if found_sealed and not benchway.is_lead() then
        raise insufficient_privilege using message = 'only a lead seals a batch';
    end if;
    select bool_and(exists (
                select from benchway.batch b
                where b.shop = a.shop and b.id = a.batch
                  and (not b.waits or b.id not in (select h.id from benchway.own_hidden h)))),
            count(case when benchway.is_waited_for(a.shop)
                then pg_catalog.pg_notify('benchway_' || md5(a.shop), '')::text end)
        into is_there, woken
        from (select distinct added.shop, added.batch from added) a;
    if not is_there then
        raise foreign_key_violation using message = 'this shop has no such batch';
    end if;
    return null;
end $$;

revoke all on function benchway.waiting_key(), benchway.adding_key(),
    benchway.wait_for_word(text), benchway.is_waited_for(text) from public;
grant execute on function benchway.waiting_key(), benchway.adding_key(),
    benchway.wait_for_word(text) to benchway_member;
