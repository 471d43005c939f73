// note: 2 pixels will print
Recipe.Title("Make enclosed whites printable");
Recipe.Purpose("Moves pure white that is surrounded by art to the brightest white that prints.");
var smallest = Param.Area("smallest", "0mm2", help: "Leave specks below this size alone");

var lost = Art.Find.PureWhite().Enclosed().AtLeast(smallest);
Art.MakePrintable(lost, layer: "printable whites");
Report.Note($"{lost.Count} pixels will print");
