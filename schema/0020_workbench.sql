-- Rows that are gone: the few deletions of the journal, found without reading the rest of it.
CREATE INDEX journal_deleted ON journal(in_table, row_id) WHERE act = 'delete';

-- In which system lengths are shown first; blank is metric. Both are always shown.
ALTER TABLE collection ADD COLUMN units TEXT CHECK (units IN ('metric', 'inches'));
