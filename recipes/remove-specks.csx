Recipe.Title("Remove specks");
Recipe.Purpose("Leaves bare what prints as a speck, standing alone on bare ground, and fills pinholes in printed art with the color around them. Every one is listed; periods and dots on letters stay.");
Recipe.Version(1);
Recipe.Example("recipes dry-run remove-specks puffin-cut.png");

var area = Param.Area("area", "0.06mm2", help: "Specks and pinholes are smaller than this");

var specks = Art.Find.Specks(area);
Report.Regions("specks that go", specks.Islands(diagonal: true), specks);
Art.LeaveBare(specks, layer: "specks removed");

var holes = Art.Find.Pinholes(area);
Report.Regions("pinholes that are filled", holes.Islands(), holes);
Art.FillHoles(holes, layer: "pinholes filled");

Report.Note($"{specks.Islands(diagonal: true).Count} specks go, {holes.Islands().Count} pinholes are filled; all are below {area:0.0} px2.");
