// note: True False prints 254
if (Setup.Ink.BlackBare)
{
    Recipe.Decline("This recipe is for light garments.");
}

var state = Setup.Ink.StateOf(new Rgba8(9, 9, 9));
string says = state switch { InkState.Prints => "prints", InkState.BareWhite => "bare", _ => "other" };
Report.Note($"{Setup.Ink.WhiteBare} {Setup.Ink.BlackBare} {says} {Setup.Ink.BrightestWhite.R}");
