// R2002
var said = Art.Declared;
