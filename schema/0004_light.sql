-- Whether light reached the place of a colour reading, so that a faded place can be set against one that was protected
-- under a seam or tuck.
ALTER TABLE textile_colours ADD COLUMN exposure TEXT CHECK (exposure IN ('exposed', 'protected'));
