// WithinBox(islands, box): the numbered regions that lie wholly inside a box; all of them where the box is null, which is what
// Param.Box gives for auto. For work on one part of the art, such as a sponsor's line.
static Region WithinBox(Islands islands, Box? box) =>
    islands.Pick(island => box is null || box.Value.Within(island.Bounds) == island.Bounds);
