-- Every process on the database hears of events as they are stored, so that
-- its pages follow. The schema is named because a database may have several.
-- The server tells a job once a transaction, however many events it stores.

CREATE FUNCTION event_tell() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM pg_notify('lastbolt_event', TG_TABLE_SCHEMA || ' ' || NEW.job);
    RETURN NULL;
END $$;
CREATE TRIGGER event_tell AFTER INSERT ON event FOR EACH ROW EXECUTE FUNCTION event_tell();
