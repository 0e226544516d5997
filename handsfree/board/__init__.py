"""The step board: one local page that shows how a run stands, to be read from 3 m."""
