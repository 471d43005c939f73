// R2002
var tile = Art.Find.PureWhite().FoundIn.Tiles[0];
