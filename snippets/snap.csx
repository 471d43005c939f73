// Snap(color, within, layer): makes every opaque pixel within a CIEDE2000 difference of a house color exactly that color, and
// gives how many changed. For a logo whose flat color a JPEG or a scan has scattered.
static long Snap(Rgba8 color, double within, string layer)
{
    var near = Art.Find.Like(color, within).Intersect(Art.Find.Where(pixel => pixel.A == 255 && pixel != color));
    Art.Fill(near, color, layer);
    return near.Count;
}
