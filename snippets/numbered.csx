// Numbered(islands, only, except, smallest): the regions that the technician chose by number.
// Without numbers all of them; a number that isn't there declines, so that a remembered answer can't hit the wrong region.
static Region Numbered(Islands islands, IReadOnlyList<int> only, IReadOnlyList<int> except, double smallest = 0)
{
    foreach (var number in only.Concat(except))
        if (number > islands.Count)
            Recipe.Decline($"There is no region {number}; this art has {islands.Count}.");
    var wanted = only.ToHashSet();
    var unwanted = except.ToHashSet();
    return islands.Pick(island => (wanted.Count == 0 || wanted.Contains(island.Number))
        && !unwanted.Contains(island.Number) && island.Count >= smallest);
}
