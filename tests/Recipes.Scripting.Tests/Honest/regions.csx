// note: 3 islands, first at 0,0, then 2 dark; close True
var light = Art.Find.Where(p => p is { R: > 200, A: 255 });
var islands = light.Islands();
foreach (var island in islands)
{
    if (island.Number == 1)
    {
        var dark = Art.Find.NearBlack(lightness: 1, chroma: 0.5).Union(light.Complement().Intersect(Art.Find.PureBlack()));
        Report.Note($"{islands.Count} islands, first at {island.FirstX},{island.FirstY}, then {dark.Count} dark; close {Ciede2000.Difference(LabSpace.D50.Of(Rgba8.White), LabSpace.D50.Of(Rgba8.White)) == 0}");
    }
}
