// note: 24 enclosed True 0
Recipe.Title("All kinds of parameters");
Recipe.Version(2);
var near = Param.Levels("near", 24, help: "Levels from white");
var where = Param.Choice("where", ["enclosed", "all"]);
var on = Param.Flag("on", true);
var only = Param.RegionNumbers("only");
Report.Note($"{near} {where} {on} {only.Count}");
