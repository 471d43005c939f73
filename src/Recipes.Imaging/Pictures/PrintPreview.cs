namespace Recipes.Imaging.Pictures;

/// <summary>
/// What the garment will show: cloth where nothing prints, white ink on it after Kubelka and Munk, colors as a filter over
/// both, in linear light. Black ink on dark cloth is a dull patch that the cloth isn't, so it is drawn a little lighter than that. A simulation
/// on a screen, not a proof.
/// </summary>
public static class PrintPreview
{
    // How dark ink is that shows as a patch, how near to the cloth it would be drawn, and how much lighter it is: enough to see on a screen.
    private const int Dark = 48, Alike = 12, Patch = 20;

    /// <summary>Draws the picture, opaque.</summary>
    /// <param name="flat">The flattened art.</param>
    /// <param name="setup">Garment color and what stays bare.</param>
    /// <param name="underbase">White ink of the first pass, 0 to 255; null for none.</param>
    /// <param name="secondPass">White ink of the second pass; null for none.</param>
    /// <param name="markBare">True: bare areas carry a weave hatch.</param>
    public static Plane<Rgba8> Render(Plane<Rgba8> flat, GarmentSetup setup, Plane<byte>? underbase, Plane<byte>? secondPass = null, bool markBare = false)
    {
        ArgumentNullException.ThrowIfNull(flat);
        ArgumentNullException.ThrowIfNull(setup);
        if ((underbase is not null && underbase.Grid != flat.Grid) || (secondPass is not null && secondPass.Grid != flat.Grid))
        {
            throw new ArgumentException("Art and underbase differ in size.", nameof(underbase));
        }

        var cloth = setup.Garment.WithAlpha(255);
        var thread = GarmentPicture.Thread(cloth);
        var white = Enumerable.Range(0, 511).Select(laid => Ground(cloth, laid)).ToArray();
        return Plane<Rgba8>.Build(flat.Width, flat.Height, null, (bounds, samples) =>
        {
            int tile = flat.Grid.IndexAt(bounds.X, bounds.Y);
            (Rgba8 Pixel, int Laid, Rgba8 Shown) last = (default, -1, default);
            for (int p = 0; p < samples.Length; p++)
            {
                int x = p % bounds.Width, y = p / bounds.Width;
                var pixel = flat.Tiles[tile][x, y];
                int laid = (underbase?.Tiles[tile][x, y] ?? 0) + (secondPass?.Tiles[tile][x, y] ?? 0);
                bool bare = setup.Ink.StateOf(pixel) != InkState.Prints;
                if (bare && laid == 0)
                {
                    samples[p] = markBare && GarmentPicture.IsThread(bounds.X + x, bounds.Y + y) ? thread : cloth;
                    continue;
                }

                if (last.Laid != laid || last.Pixel != pixel)
                {
                    var shown = Filtered(white[laid], bare ? default : pixel);
                    last = (pixel, laid, !bare && IsPatch(pixel, shown, cloth) ? Lighter(shown, cloth) : shown);
                }

                samples[p] = last.Shown;
            }
        });
    }

    private static (double R, double G, double B) Ground(Rgba8 cloth, int laid)
    {
        double power = KubelkaMunk.SolidUnderbase * laid / 255;
        return (KubelkaMunk.Over(power, Srgb.ToLinear(cloth.R)), KubelkaMunk.Over(power, Srgb.ToLinear(cloth.G)),
            KubelkaMunk.Over(power, Srgb.ToLinear(cloth.B)));
    }

    // Not where it is drawn darker than the cloth already.
    private static bool IsPatch(Rgba8 ink, Rgba8 shown, Rgba8 cloth) => ink.A >= 128 && Math.Max(ink.R, Math.Max(ink.G, ink.B)) <= Dark
        && Math.Max(cloth.R, Math.Max(cloth.G, cloth.B)) <= 2 * Dark
        && Math.Max(cloth.R - shown.R, Math.Max(cloth.G - shown.G, cloth.B - shown.B)) < Alike;

    // Channel by channel, so that more white ink below is never darker.
    private static Rgba8 Lighter(Rgba8 shown, Rgba8 cloth) => new(
        (byte)Math.Max(shown.R, cloth.R + Patch), (byte)Math.Max(shown.G, cloth.G + Patch), (byte)Math.Max(shown.B, cloth.B + Patch));

    private static Rgba8 Filtered((double R, double G, double B) ground, Rgba8 ink)
    {
        double a = ink.A / 255.0;
        return Srgb.Nearest(ground.R * Through(ink.R), ground.G * Through(ink.G), ground.B * Through(ink.B)).Color;

        double Through(byte level) => 1 - a + (a * Srgb.ToLinear(level));
    }
}
