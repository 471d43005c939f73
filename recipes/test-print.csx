Recipe.Title("Test print");
Recipe.Purpose("Leaves everything bare but a small box that shows what is worth testing: the main colors, the darkest area, the thinnest lines, the finest detail. The art stays as it is under one layer; undo takes it off.");
Recipe.Version(1);
Recipe.LeavesBare("Everything but the box of the test stays bare.");
Recipe.Example("recipes dry-run test-print puffin.png");

var box = Param.Box("box", help: "What to print; auto finds the smallest box, at most 2 x 2 in, that shows the most");

var test = box is null ? Art.Find.TestBox() : Art.Find.TestBox(box.Value);
if (test is null)
    Recipe.Decline(box is null ? "Nothing prints, so there is nothing to test." : "Nothing in the box prints.");

double ppi = Art.PixelsPerInch;
Report.Note($"The test is the box {test.Area} px, {test.Area.Width / ppi:0.00} x {test.Area.Height / ppi:0.00} in. It shows {List(test.Holds)}.");
Report.Note($"It leaves out {List(test.LeavesOut)}.");
var printed = Art.Find.Where(pixel => Setup.Ink.StateOf(pixel) == InkState.Prints);
Art.LeaveBare(printed.Intersect(Art.Find.Outside(test.Area)), layer: "test print");

static string List(IReadOnlyList<string> names) => names.Count == 0 ? "nothing of what a test is for" : string.Join(", ", names);
