// R2003 source
if (Art.Width > 0)
{
    return "x";
}
