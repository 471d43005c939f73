// R2002
var plane = Art.Find.PureWhite().Coverage;
