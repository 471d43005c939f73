Recipe.Title("Remove specks");
Recipe.Purpose("Leaves bare what prints as a speck, standing alone on bare ground, and fills pinholes in printed art with the color around them. Every one is listed; periods and dots on letters stay.");
Recipe.Version(1);
Recipe.Example("recipes dry-run remove-specks puffin-cut.png");

var area = Param.Area("area", "0.06mm2", help: "Specks and pinholes are smaller than this");

var specks = Art.Find.Specks(area);
var largerSpecks = Art.Find.Specks(2 * area).Islands(diagonal: true);
Report.Regions("specks that go", specks.Islands(diagonal: true), specks);
Art.LeaveBare(specks, layer: "specks removed");

var holes = Art.Find.Pinholes(area);
var largerHoles = Art.Find.Pinholes(2 * area).Islands();
int go = specks.Islands(diagonal: true).Count, filled = holes.Islands().Count;
Report.Regions("pinholes that are filled", holes.Islands(), holes, from: go + 1);
Art.FillHoles(holes, layer: "pinholes filled");

int larger = largerSpecks.Count(speck => speck.Count >= area) + largerHoles.Count(hole => hole.Count >= area);
Report.Note($"{Told(go, "speck goes", "specks go")}, {Told(filled, "pinhole is filled", "pinholes are filled")}; all are below {area:0.0} px2.");
if (larger > 0)
    Report.Note($"{Told(larger, "more stands", "more stand")} alone between once and twice that size: double the area to take {(larger == 1 ? "it" : "them")}, too.");

static string Told(int count, string one, string several) => $"{count:#,0} {(count == 1 ? one : several)}";
