using Recipes.Imaging;

namespace Recipes.Api;

/// <summary>
/// The art under a recipe's hands. Each request adds a layer and replaces the current artwork; the original layer is never
/// changed. A request that changes no pixel adds no layer. Any coverage above 0 counts as in, except for <see cref="Fill"/>
/// and <see cref="LeaveBare"/>, which honor soft edges.
/// </summary>
public sealed class ArtCursor
{
    private readonly GarmentSetup setup;
    private readonly Artwork original;
    private Plane<byte>? printable, bare, droppedBlack, printedBlack;
    private bool sized;

    internal ArtCursor(Artwork art, GarmentSetup setup)
    {
        Artwork = original = art;
        this.setup = setup;
        Find = new Finder(this, setup);
    }

    /// <summary>The artwork as it stands.</summary>
    public Artwork Artwork { get; private set; }

    /// <summary>The garment setup, for finding what shows on the garment.</summary>
    internal GarmentSetup Setup => setup;

    /// <summary>Finds regions.</summary>
    public Finder Find { get; }

    /// <summary>Width in px.</summary>
    public int Width => Artwork.Width;

    /// <summary>Height in px.</summary>
    public int Height => Artwork.Height;

    /// <summary>Pixels per inch that lengths are measured at: the art's own, or where it has none what <see cref="GarmentSetup.ResolutionFor"/> takes
    /// it at.</summary>
    public double PixelsPerInch => setup.ResolutionFor(Artwork);

    /// <summary>How many px of the art as it came lie in one of its px, along a side: 1 unless it was resampled.</summary>
    public double Scale => Artwork.Ground.Scale;

    /// <summary>What the recipe declared so far.</summary>
    public Declaration Declared => new(printable, bare, droppedBlack, printedBlack, sized && !ReferenceEquals(Artwork, original));

    /// <summary>
    /// Declares that the region's bare white prints, and moves it to the brightest white that does. Alpha is kept. Pixels
    /// that print already, and transparent ones, stay as they are.
    /// </summary>
    public void MakePrintable(Region region, string layer)
    {
        var white = Only(region, pixel => setup.Ink.StateOf(pixel) == InkState.BareWhite);
        printable = Union(printable, white);
        Write(white, layer, LayerIntent.MakePrintable, pixel => setup.Ink.BrightestWhite.WithAlpha(pixel.A));
    }

    /// <summary>Declares that the region stays bare, and writes it the way the setup says.</summary>
    public void LeaveBare(Region region, string layer)
    {
        ArgumentNullException.ThrowIfNull(region);
        bare = Union(bare, region);
        Write(region, layer, LayerIntent.LeaveBare, setup.Ink.Bared);
    }

    /// <summary>Declares that the region's black drops where the setup leaves black bare, and makes it exactly 0,0,0. Alpha is kept.</summary>
    public void DropBlack(Region region, string layer)
    {
        var opaque = Only(region, pixel => !pixel.IsTransparent);
        if (setup.Ink.BlackBare)
        {
            droppedBlack = Union(droppedBlack, opaque);
        }

        Write(opaque, layer, LayerIntent.DropBlack, pixel => Rgba8.Black.WithAlpha(pixel.A));
    }

    /// <summary>
    /// Declares that the region's bare black prints, and moves it to the darkest black that does. Alpha is kept. Pixels that
    /// print already, and transparent ones, stay as they are.
    /// </summary>
    public void PrintBlack(Region region, string layer)
    {
        var black = Only(region, pixel => setup.Ink.StateOf(pixel) == InkState.BareBlack);
        printedBlack = Union(printedBlack, black);
        Write(black, layer, LayerIntent.PrintBlack, pixel => setup.Ink.DarkestBlack.WithAlpha(pixel.A));
    }

    /// <summary>Lays a color over the region, soft edges included. Declares nothing: the guardrails judge what it does to printing.</summary>
    public void Fill(Region region, Rgba8 color, string layer)
    {
        ArgumentNullException.ThrowIfNull(region);
        Write(region, layer, LayerIntent.Fill, _ => color);
    }

    /// <summary>
    /// Puts one color in the place of another: full pixels become the new color, or keep their shading around it, and mixes
    /// become the same mixes of the new color. Alpha is kept. Declares nothing: the guardrails judge what it does to printing.
    /// </summary>
    /// <param name="share">How much of each pixel is the old color, as <see cref="Finder.Share"/> finds it.</param>
    /// <param name="from">The old color.</param>
    /// <param name="to">The new color.</param>
    /// <param name="layer">The layer's name.</param>
    /// <param name="keepShading">True: lightness and chroma move with the color; false: it becomes flat.</param>
    public void SwapColor(Region share, Rgba8 from, Rgba8 to, string layer, bool keepShading = false)
    {
        ArgumentNullException.ThrowIfNull(share);
        Fit(share);
        Write(ColorSwap.Swap(Artwork.Flat, share, new(from, to, keepShading), setup.Ink), layer);
    }

    /// <summary>
    /// Declares that holes in printed art print, and gives them the color around them, their mixed edges too. A hole with
    /// nothing printed within 3 px stays.
    /// </summary>
    public void FillHoles(Region holes, string layer)
    {
        ArgumentNullException.ThrowIfNull(holes);
        Fit(holes);
        printable = Union(printable, holes);
        Write(HoleFill.Fill(Artwork.Flat, holes, setup.Ink), layer);
    }

    /// <summary>
    /// Takes an old background out of the mixed pixels of a halo: their color becomes what it was, and what was background
    /// becomes transparent. What printed goes on printing.
    /// </summary>
    /// <param name="halo">How much of each pixel is art, as <see cref="Finder.Halo"/> finds it.</param>
    /// <param name="background">The old background's color.</param>
    /// <param name="layer">The layer's name.</param>
    public void TakeOut(Region halo, Rgba8 background, string layer)
    {
        ArgumentNullException.ThrowIfNull(halo);
        Fit(halo);
        Write(Halo.Remove(Artwork.Flat, halo, background, setup.Ink), layer);
    }

    /// <summary>Makes partly transparent pixels of the region opaque; their color is kept.</summary>
    public void MakeOpaque(Region region, string layer) =>
        Write(Only(region, pixel => !pixel.IsTransparent), layer, LayerIntent.Fill, pixel => pixel.WithAlpha(255));

    /// <summary>
    /// Lays partly transparent pixels of the region on the garment's color. Where that leaves something bare, or it was bare
    /// before, it is declared to stay bare.
    /// </summary>
    public void LayOnGarment(Region region, string layer)
    {
        var soft = Only(region, pixel => !pixel.IsTransparent);
        var left = Only(soft, pixel => setup.Ink.StateOf(pixel) != InkState.Prints || setup.Ink.StateOf(OnGarment(pixel)) != InkState.Prints);
        Write(soft.Except(left), layer, LayerIntent.Fill, OnGarment);
        if (!left.IsEmpty)
        {
            LeaveBare(left, layer);
        }
    }

    /// <summary>
    /// Declares a size change: the art becomes the setup's platen at a resolution, with the flattened art resampled into a
    /// box of it and everything else bare. A recipe that asks for this asks for nothing else. Art that is just that already, the
    /// whole platen at that resolution, stays as it is, layers included.
    /// </summary>
    /// <param name="box">Where the art goes, px of the platen; what reaches beyond it is cut off, so only bare margins may.</param>
    /// <param name="pixelsPerInch">Resolution of the platen, 50 to 2400.</param>
    /// <param name="scale">How many px of the art lie in one of the platen, where the box was rounded; 0 tells it from the box.</param>
    /// <exception cref="InvalidOperationException">The recipe has asked for something else already.</exception>
    /// <exception cref="ArgumentException">The box lies beside the platen, what is drawn would reach beyond it, or a number is out of range.</exception>
    public void PlaceOnPlaten(Box box, double pixelsPerInch, double scale = 0)
    {
        if (sized || !ReferenceEquals(Artwork, original) || Declared != Declaration.Nothing)
        {
            throw new InvalidOperationException("A recipe that changes the size does nothing else, and that once.");
        }

        if (scale is not (>= 0 and <= Platen.HighestPixelsPerInch))
        {
            throw new ArgumentException($"A scale is 0 to {Platen.HighestPixelsPerInch}.", nameof(scale));
        }

        var placed = Platen.Place(Artwork, box, setup, pixelsPerInch);
        placed = scale == 0 ? placed
            : placed.WithGround(placed.Ground with { Scale = Math.Clamp(original.Ground.Scale * scale, Ground.LeastScale, Ground.MostScale) });
        bool same = box == new Box(0, 0, Width, Height) && placed.Grid == Artwork.Grid && Artwork.IsSameResolution(original.PixelsPerInch, pixelsPerInch);
        Artwork = same ? original : placed;
        sized = true;
    }

    /// <summary>
    /// Lays white ink under the colors, as a separation plane of its own: flattening and guardrails pass it by, and it takes the
    /// place of an earlier one. How much follows <see cref="WhiteUnderbase"/>. Where that plane is in force already, nothing changes.
    /// </summary>
    /// <param name="choke">By how many px the white stays back from the edges of what prints, 0 or more.</param>
    /// <param name="strength">Percent of a solid, 0 to 100.</param>
    /// <param name="secondPass">True: a second plane under art white.</param>
    /// <returns>How many pixels get white.</returns>
    /// <exception cref="DeclinedException">The setup says that the machine lays the underbase, or nobody.</exception>
    public long LayUnderbase(double choke, double strength, bool secondPass = false)
    {
        if (setup.Underbase != Underbase.File)
        {
            string why = setup.Underbase == Underbase.None ? "no white ink is laid."
                : "the machine lays the underbase; a second one from the file would print on top of it.";
            throw new DeclinedException($"the garment setup {setup.Name} says that {why}",
                "Nothing was changed. Name a setup whose underbase is the file's with --setup; 'recipes setups show NAME' tells.");
        }

        var flat = Artwork.Flat;
        var first = WhiteUnderbase.Of(flat, setup, choke, strength / 100);
        var second = secondPass ? WhiteUnderbase.SecondPass(flat, setup, choke, strength / 100) : null;
        bool same = !Artwork.UnderbaseIsOutdated && Artwork.Underbase is { } laid && laid.SameSamples(first)
            && (second is null ? Artwork.SecondPass is null : Artwork.SecondPass is { } passed && passed.SameSamples(second));
        if (!same)
        {
            Artwork = Artwork.WithLayer(Layer.Separation("underbase", LayerIntent.Underbase, first));
            Artwork = second is null ? Artwork : Artwork.WithLayer(Layer.Separation("underbase second pass", LayerIntent.SecondPass, second));
        }

        return new Region(first, flat).Count;
    }

    private Rgba8 OnGarment(Rgba8 pixel)
    {
        return new Rgba8(Mix(pixel.R, setup.Garment.R), Mix(pixel.G, setup.Garment.G), Mix(pixel.B, setup.Garment.B));

        byte Mix(byte ink, byte cloth) => (byte)(((ink * pixel.A) + (cloth * (255 - pixel.A)) + 127) / 255);
    }

    // A fill layer with the pixels that differ from the art as it stands.
    private void Write(Plane<Rgba8> pixels, string layer)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(layer);
        var flat = Artwork.Flat;
        if (ReferenceEquals(pixels, flat))
        {
            return;
        }

        var none = Plane<byte>.OneValue(flat.Width, flat.Height, 0);
        var coverage = Plane<byte>.Build(flat.Width, flat.Height, none, (bounds, samples) =>
        {
            samples.Clear();
            int tile = flat.Grid.IndexAt(bounds.X, bounds.Y);
            if (!ReferenceEquals(flat.Tiles[tile], pixels.Tiles[tile]))
            {
                for (int p = 0; p < samples.Length; p++)
                {
                    int x = p % bounds.Width, y = p / bounds.Width;
                    samples[p] = flat.Tiles[tile][x, y] == pixels.Tiles[tile][x, y] ? (byte)0 : (byte)255;
                }
            }
        });
        // Only what changes brings pixels, so that the layer costs no more.
        var clear = Plane<Rgba8>.OneValue(flat.Width, flat.Height, default);
        pixels = clear.WithTiles([.. clear.Tiles.Select((tile, i) => coverage.Tiles[i].IsAll(0) ? tile : pixels.Tiles[i])]);
        Artwork = Artwork.WithLayer(Layer.Replace(layer.Trim(), LayerIntent.Fill, pixels, coverage));
    }

    private void Fit(Region region)
    {
        if (sized)
        {
            throw new InvalidOperationException("A recipe that changes the size does nothing else.");
        }

        if (region.Coverage.Grid != Artwork.Grid)
        {
            throw new ArgumentException("The region was found in art of another size.", nameof(region));
        }
    }

    private Region Only(Region region, Func<Rgba8, bool> rule)
    {
        ArgumentNullException.ThrowIfNull(region);
        var flat = Artwork.Flat;
        var coverage = Plane<byte>.Build(flat.Width, flat.Height, region.Coverage, (bounds, samples) =>
        {
            int tile = flat.Grid.IndexAt(bounds.X, bounds.Y);
            region.Coverage.Tiles[tile].CopyTo(samples);
            var stretches = new Stretches(region.Coverage.Tiles[tile], flat.Tiles[tile]);
            while (stretches.MoveNext())
            {
                samples.Slice(stretches.Start, stretches.Length).Fill(rule(stretches.Color) ? (byte)255 : (byte)0);
            }
        }, tile =>
        {
            // Flat art is mostly tiles of one color.
            var (covered, art) = (region.Coverage.Tiles[tile], flat.Tiles[tile]);
            return covered.IsAll(0) ? covered
                : covered.IsOneValue && art.IsOneValue ? Tile<byte>.OneValue(art.Width, art.Height, rule(art.Value) ? (byte)255 : (byte)0) : null;
        });
        return new Region(coverage, flat);
    }

    private void Write(Region region, string layer, LayerIntent intent, Func<Rgba8, Rgba8> write)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(layer);
        Fit(region);
        var flat = Artwork.Flat;
        bool changed = false;
        void Changes(bool differs)
        {
            if (differs)
            {
                Volatile.Write(ref changed, true);
            }
        }

        var clear = Plane<Rgba8>.OneValue(flat.Width, flat.Height, default);
        var pixels = Plane<Rgba8>.Build(flat.Width, flat.Height, clear, (bounds, samples) =>
        {
            samples.Clear();
            int tile = flat.Grid.IndexAt(bounds.X, bounds.Y);
            var stretches = new Stretches(region.Coverage.Tiles[tile], flat.Tiles[tile]);
            bool differs = false, alike = true;
            Rgba8? first = null;
            while (stretches.MoveNext())
            {
                var written = write(stretches.Color);
                samples.Slice(stretches.Start, stretches.Length).Fill(written);
                differs |= written != stretches.Color;
                first ??= written;
                alike &= written == first;
            }

            Changes(differs);
            if (alike && first is { } only)
            {
                // What isn't covered doesn't count, and a tile of one value takes no room, here and on its way to the host.
                samples.Fill(only);
            }
        }, tile =>
        {
            var (coverage, art) = (region.Coverage.Tiles[tile], flat.Tiles[tile]);
            if (coverage.IsAll(0))
            {
                return clear.Tiles[tile];
            }

            if (!coverage.IsOneValue || !art.IsOneValue)
            {
                return null;
            }

            var written = write(art.Value);
            Changes(written != art.Value);
            return Tile<Rgba8>.OneValue(art.Width, art.Height, written);
        });
        if (changed)
        {
            Artwork = Artwork.WithLayer(Layer.Replace(layer.Trim(), intent, pixels, region.Coverage));
        }
    }

    private static Plane<byte> Union(Plane<byte>? known, Region region) =>
        known is null ? region.Coverage : new Region(known, region.FoundIn).Union(region).Coverage;
}
