// R4003
var none = Art.Find.Where(pixel =>
{
    while (true) { }
});
