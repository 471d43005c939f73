// Numbered(islands, only, except, smallest, also, left): the regions that the technician chose by number.
// Without numbers all of them but those in left; also adds to whatever is chosen. A number that isn't there declines, so that a
// remembered answer can't hit the wrong region.
static Region Numbered(Islands islands, IReadOnlyList<int> only, IReadOnlyList<int> except, double smallest = 0, IReadOnlyList<int>? also = null, IEnumerable<int>? left = null)
{
    foreach (var number in only.Concat(except).Concat(also ?? []))
        if (number > islands.Count)
            Recipe.Decline($"There is no region {number}; this art has {islands.Count}.");
    var wanted = only.ToHashSet();
    var added = (also ?? []).ToHashSet();
    var unwanted = except.Concat(wanted.Count == 0 ? left ?? [] : []).ToHashSet();
    return islands.Pick(island => added.Contains(island.Number)
        || ((wanted.Count == 0 || wanted.Contains(island.Number)) && !unwanted.Contains(island.Number) && island.Count >= smallest));
}
