namespace Recipes.Imaging;

/// <summary>Art placed on a garment setup's platen.</summary>
public static class Platen
{
    /// <summary>Lowest resolution of a platen, pixels per inch.</summary>
    public const double LowestPixelsPerInch = 50;

    /// <summary>Highest resolution of a platen, pixels per inch.</summary>
    public const double HighestPixelsPerInch = 2400;

    /// <summary>
    /// An artwork of the whole platen, with one layer: the flattened art resampled into the box, and bare all around: as white where the art's border is
    /// opaque and white stays bare, otherwise as the setup says. Of a box that reaches beyond the platen, as the bare margins of an art may, only what lies on
    /// the platen is kept.
    /// </summary>
    /// <param name="art">The art.</param>
    /// <param name="box">Where it goes, px of the platen.</param>
    /// <param name="setup">The garment setup, which says the platen's size and how bared pixels are written.</param>
    /// <param name="pixelsPerInch">Resolution of the platen.</param>
    /// <exception cref="ArgumentException">The box lies beside the platen, what is drawn would reach beyond it, or the resolution is out of range.</exception>
    public static Artwork Place(Artwork art, Box box, GarmentSetup setup, double pixelsPerInch)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(setup);
        if (pixelsPerInch is not (>= LowestPixelsPerInch and <= HighestPixelsPerInch))
        {
            throw new ArgumentException($"A platen has {LowestPixelsPerInch} to {HighestPixelsPerInch} pixels per inch.", nameof(pixelsPerInch));
        }

        var platen = setup.PlatenAt(pixelsPerInch);
        var kept = box.Within(platen);
        if (box.IsEmpty || kept.IsEmpty)
        {
            throw new ArgumentException("The art lies beside the platen's print area.", nameof(box));
        }

        // Rounded outward, so a px on either side is no loss.
        if (kept != box && Figure.Of(art, setup).Bounds is { } drawn && Placed(drawn, art.Grid, box) is var lies && lies.Within(platen.Grow(2)) != lies)
        {
            throw new ArgumentException("What is drawn would reach beyond the platen's print area; only bare margins may.", nameof(box));
        }

        // A white background goes on to the edges of the platen. Were it transparent there, the white of the art would be
        // surrounded, and the next recipe would take it for art.
        var bared = setup.Ink.WhiteBare && BorderIsOpaque(art.Flat) ? Rgba8.White : setup.Ink.Bared(Rgba8.White);
        var pixels = Resample.Part(art.Flat, box.Width, box.Height, kept with { X = kept.X - box.X, Y = kept.Y - box.Y });
        return Artwork.FromPixels(Plane<Rgba8>.Build(platen.Width, platen.Height, null, (bounds, samples) =>
        {
            samples.Fill(bared);
            var part = bounds.Within(kept);
            for (int y = part.Y; y < part.Bottom; y++)
            {
                for (int x = part.X; x < part.Right;)
                {
                    // As far as one tile of the art goes.
                    var tile = pixels.Tiles[pixels.Grid.IndexAt(x - kept.X, y - kept.Y)];
                    int from = (x - kept.X) % TileGrid.Side, count = Math.Min(part.Right - x, tile.Width - from), row = (y - kept.Y) % TileGrid.Side;
                    var target = samples.Slice(((y - bounds.Y) * bounds.Width) + x - bounds.X, count);
                    if (tile.IsOneValue)
                    {
                        target.Fill(tile.Value);
                    }
                    else
                    {
                        tile.Samples.Slice((row * tile.Width) + from, count).CopyTo(target);
                    }

                    x += count;
                }
            }
        }), pixelsPerInch).WithGround(art.Ground with
        {
            Edge = Placed(art.Ground.Edge, art.Grid, box).Within(platen) is { IsEmpty: false } edge ? edge : kept,
            Whole = Placed(art.Ground.Whole ?? art.Ground.Edge, art.Grid, box) is var whole && whole.Within(platen) == whole ? null : whole,
            // Detail that shrinking took away doesn't come back.
            Scale = Math.Clamp(art.Ground.Scale * art.Width / box.Width, Ground.LeastScale, Ground.MostScale),
        });
    }

    // Where a box of the art lies once the art lies in a box of the platen; outward to whole px.
    private static Box Placed(Box edge, TileGrid art, Box box)
    {
        double across = (double)box.Width / art.Width, down = (double)box.Height / art.Height;
        int left = (int)Math.Floor(Math.Round(edge.X * across, 6)), top = (int)Math.Floor(Math.Round(edge.Y * down, 6));
        int right = (int)Math.Ceiling(Math.Round(edge.Right * across, 6)), bottom = (int)Math.Ceiling(Math.Round(edge.Bottom * down, 6));
        return new Box(box.X + left, box.Y + top, right - left, bottom - top);
    }

    private static bool BorderIsOpaque(Plane<Rgba8> flat)
    {
        long opaque = 0;
        for (int y = 0; y < flat.Height; y++)
        {
            int step = y == 0 || y == flat.Height - 1 ? 1 : Math.Max(1, flat.Width - 1);
            for (int x = 0; x < flat.Width; x += step)
            {
                opaque += flat[x, y].IsTransparent ? 0 : 1;
            }
        }

        return opaque * 2 >= Guardrails.BorderLength(flat.Grid);
    }
}
