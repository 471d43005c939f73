Recipe.Title("Remove specks");
Recipe.Purpose("Leaves bare what prints as a speck, standing alone on bare ground, and fills pinholes in printed art with the color around them. Every one is listed; periods, dots on letters, lettering and patterns of dots stay.");
Recipe.Version(2);
Recipe.Example("recipes dry-run remove-specks puffin-cut.png");

var area = Param.Area("area", "0.06mm2", help: "Specks and pinholes are smaller than this");
var pattern = Param.Choice("pattern", ["ask", "keep", "dirt"], help: "Many or evenly spaced ones: ask leaves them and asks, keep leaves them, dirt takes them too");

var dirt = Art.Find.Dirt(area);
var specks = pattern == "dirt" ? dirt.Specks.Union(dirt.SpeckPattern) : dirt.Specks;
var holes = pattern == "dirt" ? dirt.Pinholes.Union(dirt.PinholePattern) : dirt.Pinholes;
var specksThatGo = specks.Islands(diagonal: true);
var holesThatGo = holes.Islands();
Report.Regions("specks that go", specksThatGo, specks);
Art.LeaveBare(specks, layer: "specks removed");
Report.Regions("pinholes that are filled", holesThatGo, holes, from: specksThatGo.Count + 1);
Art.FillHoles(holes, layer: "pinholes filled");

Report.Note($"{Told(specksThatGo.Count, "speck goes", "specks go")}, {Told(holesThatGo.Count, "pinhole is filled", "pinholes are filled")}; all are below {area:0.0} px2.");
if (dirt.Larger > 0)
    Report.Note($"{Told(dirt.Larger, "more stands", "more stand")} alone between once and twice that size: double the area to take {(dirt.Larger == 1 ? "it" : "them")}, too.");
if (dirt.PatternQuestion(pattern) is { } question)
    Report.Ask(question);

static string Told(int count, string one, string several) => $"{count:#,0} {(count == 1 ? one : several)}";
