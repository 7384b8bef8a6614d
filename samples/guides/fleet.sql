-- Questions to the results of `holdwatt stages --json-lines`, where the folder of a log is its model: model/serial-number.csv.
-- Only what is asked for is read from each line; a line with an error has no loads.
CREATE TEMP TABLE logs AS
SELECT
  path,
  split_part(path, '/', -2) AS model,
  loads[-1].sustained.levelW.value AS sustainedW,
  loads[-1].sustained.reached AS reached,
  loads[-1].stages[-1].heldBy.label AS heldBy
FROM read_json(getvariable('results'), format = 'newline_delimited', columns = {
  path: 'VARCHAR',
  loads: 'STRUCT(stages STRUCT(heldBy STRUCT(label VARCHAR))[], sustained STRUCT(reached BOOLEAN, levelW STRUCT("value" DOUBLE)))[]'
});

-- What does each model sustain, how far do its machines differ, and how many does heat hold?
SELECT
  model,
  count(*) AS logs,
  count(*) FILTER (sustainedW IS NULL) AS withoutResult,
  count(*) FILTER (NOT reached) AS unsettled,
  round(median(sustainedW) FILTER (reached), 2) AS medianW,
  round(quantile_cont(sustainedW, 0.05) FILTER (reached), 2) AS low5W,
  round(quantile_cont(sustainedW, 0.95) FILTER (reached), 2) AS high5W,
  count(*) FILTER (heldBy = 'heat') AS heldByHeat
FROM logs
GROUP BY model
ORDER BY medianW DESC, model;

-- Which machines are furthest from their model's median, to look at first?
SELECT path, round(sustainedW, 2) AS sustainedW, round(100 * (sustainedW / medianW - 1), 1) AS percent
FROM logs JOIN (SELECT model, median(sustainedW) AS medianW FROM logs WHERE reached GROUP BY model) USING (model)
WHERE reached
ORDER BY abs(sustainedW / medianW - 1) DESC, path
LIMIT 20;
