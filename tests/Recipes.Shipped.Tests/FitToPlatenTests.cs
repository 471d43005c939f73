using System.Globalization;
using System.Text.RegularExpressions;
using Recipes.Api;
using Recipes.Imaging;
using SixLabors.ImageSharp;
using SixLabors.ImageSharp.PixelFormats;
using SixLabors.ImageSharp.Processing;

namespace Recipes.Shipped.Tests;

/// <summary>fit-to-platen: sizes and places by arithmetic, pixels against another library's Lanczos-3, white and black exact.</summary>
public class FitToPlatenTests
{
    private static readonly Rgba8 Orange = new(240, 124, 28);

    // Common print areas; the file says where its figures come from.
    public static TheoryData<string, double, double, int, int, int, int> Platens
    {
        get
        {
            var data = new TheoryData<string, double, double, int, int, int, int>();
            foreach (string[] row in File.ReadLines(Path.Combine(AppContext.BaseDirectory, "Values", "platen_pixels.csv")).Where(line => !line.StartsWith('#')).Skip(1).Select(line => line.Split(',')))
            {
                data.Add(row[0], double.Parse(row[1], CultureInfo.InvariantCulture), double.Parse(row[2], CultureInfo.InvariantCulture), int.Parse(row[3], CultureInfo.InvariantCulture),
                    int.Parse(row[4], CultureInfo.InvariantCulture), int.Parse(row[5], CultureInfo.InvariantCulture), int.Parse(row[6], CultureInfo.InvariantCulture));
            }

            return data;
        }
    }

    [Theory]
    [MemberData(nameof(Platens))]
    public void The_result_has_the_platen_s_pixels(string name, double width, double height, int at300, int tallAt300, int at200, int tallAt200)
    {
        var setup = Shelf.Light with { PlatenWidth = width, PlatenHeight = height };
        setup.PlatenAt(300).ShouldBe(new Box(0, 0, at300, tallAt300), name);
        var made = Shelf.Run("fit-to-platen", Plane<Rgba8>.OneValue(300, 300, Orange), setup, ("width", "1in"), ("ppi", "200"));
        made.Run.Art.Artwork.Grid.ShouldBe(new TileGrid(at200, tallAt200), name);
        made.Run.Art.Artwork.PixelsPerInch.ShouldBe(200);
        made.Run.Art.Declared.ShouldBe(new Declaration(SizeChange: true));
        made.ShouldBeClear();
    }

    [Theory]
    // 600 x 400 px; box on a platen of 14 x 16 in at 300 ppi with a safe margin of 0.25 in.
    [InlineData("width=2in", 1800, 75, 600, 400)]
    [InlineData("width=50.8mm", 1800, 75, 600, 400)]
    [InlineData("height=2in", 1650, 75, 900, 600)]
    [InlineData("width=2in top=3in", 1800, 900, 600, 400)]
    [InlineData("width=2in top=3in left=1in", 300, 900, 600, 400)]
    [InlineData("width=2in center=true", 1800, 2200, 600, 400)]
    [InlineData("width=2in center=true top=0in", 1800, 0, 600, 400)]
    [InlineData("width=2in center=true left=12in", 3600, 2200, 600, 400)]
    [InlineData("width=4in", 1500, 75, 1200, 800)]
    [InlineData("allow-low-resolution=true", 75, 75, 4050, 2700)]
    public void Sizes_and_places(string sets, int x, int y, int width, int height)
    {
        var made = Fit(Plane<Rgba8>.OneValue(600, 400, Orange), sets);
        var flat = made.Run.Art.Artwork.Flat;
        flat.Grid.ShouldBe(new TileGrid(4200, 4800));
        var box = new Box(x, y, width, height);
        for (int i = 0; i < flat.Grid.Count; i++)
        {
            var bounds = flat.Grid.Bounds(i);
            for (int py = 0; py < bounds.Height; py++)
            {
                for (int px = 0; px < bounds.Width; px++)
                {
                    if (flat.Tiles[i][px, py] != (box.Contains(bounds.X + px, bounds.Y + py) ? Orange : Rgba8.White))
                    {
                        Assert.Fail($"{bounds.X + px},{bounds.Y + py} is {flat.Tiles[i][px, py]}");
                    }
                }
            }
        }
    }

    [Theory]
    [InlineData("width=2in", "300 pixels per printed inch, the usual target")]
    [InlineData("width=2.5in", "240 pixels per printed inch, below the usual target of 300, acceptable")]
    [InlineData("width=4in", "150 pixels per printed inch, enough for soft photographs, not for lettering")]
    [InlineData("width=5in allow-low-resolution=true", "120 pixels per printed inch, below the floor of 150, accepted")]
    public void The_effective_resolution_is_reported(string sets, string says) =>
        Fit(Plane<Rgba8>.OneValue(600, 400, Orange), sets).Run.Reporter.Notes.ShouldContain(note => note.Contains(says, StringComparison.Ordinal));

    // Ink of 600 x 400 px. Figures of the trade: 2.5 to 3 in below the collar for a full front, 3.5 to 4 in for a left chest, whose middle lies to the right
    // as one looks at it (common practice, no source); the rest is arithmetic on a platen of 14 x 16 in at 300 ppi.
    [Theory]
    [InlineData("place=left-chest", 2100 + 1200 - 525, 900, 1050, 700)]
    [InlineData("place=left-chest size=youth", 2100 + 900 - 450, 750, 900, 600)]
    [InlineData("place=left-chest collar=1in", 2100 + 1200 - 525, 600, 1050, 700)]
    [InlineData("place=left-chest width=2in", 2100 + 1200 - 300, 900, 600, 400)]
    [InlineData("place=left-chest top=1in left=2in", 600, 300, 1050, 700)]
    [InlineData("place=full-front allow-low-resolution=true", 300, 900, 3600, 2400)]
    [InlineData("place=back size=large allow-low-resolution=true", 150, 1200, 3900, 2600)]
    // A pocket leaves no more than an inch and a half above it.
    [InlineData("place=above-pocket", 2100 + 1200 - 338, 750, 675, 450)]
    public void A_usual_place_says_where_and_how_large(string sets, int x, int y, int width, int height)
    {
        var flat = Fit(Plane<Rgba8>.OneValue(600, 400, Orange), sets).Run.Art.Artwork.Flat;
        Find.Where(flat, pixel => pixel != Rgba8.White).Bounds.ShouldBe(new Box(x, y, width, height));
    }

    // By hand: 600 px of ink are 3 in wide, so 200 px an inch; without its black frame of 100 px the orange has 400 x 200 px, 2 x 1 in,
    // and would be 3 in wide at 4.5.
    [Theory]
    [InlineData(8, true, "width=3in", "what is left measures about 2.00 x 1.00 in. Where the order means that, say width=4.5in.")]
    [InlineData(8, true, "height=2in", "what is left measures about 2.00 x 1.00 in. Where the order means that, say height=4in.")]
    [InlineData(8, false, "width=3in", null)]
    [InlineData(90, true, "width=3in", null)]
    public void Near_black_that_will_drop_is_told_from_the_size_that_is_seen(byte frame, bool onBlack, string sets, string? says)
    {
        var art = Plane<Rgba8>.FromContiguous(600, 400, Enumerable.Range(0, 600 * 400).Select(i =>
            i % 600 is >= 100 and < 500 && i / 600 is >= 100 and < 300 ? Orange : new Rgba8(frame, frame, frame)).ToArray());
        var fitted = Shelf.Run("fit-to-platen", Artwork.FromPixels(art), onBlack ? Shelf.Black : Shelf.Light, Sets(sets));
        string notes = string.Join('\n', fitted.Run.Reporter.Notes);
        notes.Contains("what is left measures", StringComparison.Ordinal).ShouldBe(says is not null);
        notes.ShouldContain(says ?? "");
    }

    // A left chest takes 3.5 x 4 in on an adult's garment and 4 x 4.5 in from 2XL up (print-places.csv; common practice). The ink is 600 x 400 px, so 3:2.
    [Theory]
    [InlineData("place=left-chest width=300mm allow-low-resolution=true", "11.81 x 7.87 in is more than left-chest takes on this size (adult): 3.5 x 4 in")]
    [InlineData("place=left-chest width=4in", "allow-larger=true")]
    [InlineData("place=above-pocket height=2in", "3 x 2 in is more than above-pocket takes")]
    [InlineData("place=left-chest width=3.5in", null)]
    [InlineData("place=left-chest width=4in size=large", null)]
    [InlineData("place=left-chest width=4in allow-larger=true", null)]
    [InlineData("width=4in", null)]
    public void A_size_beyond_what_the_place_takes_is_declined(string sets, string? says)
    {
        if (says is null)
        {
            Fit(Plane<Rgba8>.OneValue(600, 400, Orange), sets).Run.Art.Artwork.Width.ShouldBe(4200);
        }
        else
        {
            Should.Throw<Exception>(() => Fit(Plane<Rgba8>.OneValue(600, 400, Orange), sets)).ToString().ShouldContain(says);
        }
    }

    [Fact]
    public void A_place_that_the_platen_is_too_small_for_takes_what_there_is()
    {
        // 16 in less 3 below the collar and 0.25 of margin: 12.75 in of height, and so 6.375 of width, where the place has 12 x 14.
        var tall = Fit(Plane<Rgba8>.OneValue(1000, 2000, Orange), "place=full-front").Run.Art.Artwork.Flat;
        Find.Where(tall, pixel => pixel != Rgba8.White).Bounds.ShouldNotBeNull().Height.ShouldBe(3825);
        Should.Throw<Exception>(() => Fit(Plane<Rgba8>.OneValue(600, 400, Orange), "place=left-chest collar=4in"))
            .ToString().ShouldContain("isn't inside the platen");
        Should.Throw<Exception>(() => Fit(Plane<Rgba8>.OneValue(600, 400, Orange), "place=left-chest center=true"))
            .ToString().ShouldContain("Give place or center, not both");
        foreach (string alone in (string[])["size=large", "collar=2in"])
        {
            Should.Throw<Exception>(() => Fit(Plane<Rgba8>.OneValue(600, 400, Orange), alone)).ToString().ShouldContain("give place too");
        }

        // A platen of 10 in reaches 4.75 from its middle less the margin, and a left chest lies 4 from it: 0.75 on either side of that.
        var narrow = Shelf.Run("fit-to-platen", Artwork.FromPixels(Plane<Rgba8>.OneValue(600, 400, Orange)), Shelf.Light with { PlatenWidth = 10 },
            Sets("place=left-chest")).Run.Art.Artwork.Flat;
        Find.Where(narrow, pixel => pixel != Rgba8.White).Bounds.ShouldBe(new Box(1500 + 1200 - 225, 900, 450, 300));
        Fit(Plane<Rgba8>.OneValue(600, 400, Orange), "place=left-chest").Run.Reporter.Notes.ShouldContain(note =>
            note.Contains("3 in below the collar", StringComparison.Ordinal) && note.Contains("common practice, no source", StringComparison.Ordinal));
    }

    // Whoever adds a place to the table adds it to the recipe and its page.
    [Fact]
    public void The_recipe_and_its_page_know_every_place()
    {
        string recipe = File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "recipes", "fit-to-platen.csx"));
        string page = File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "recipes", "fit-to-platen.md"));
        PrintPlace.All.Length.ShouldBe(12);
        foreach (var place in PrintPlace.All)
        {
            recipe.ShouldContain($"\"{place.Name}\"");
            recipe.ShouldContain($"\"{place.Size}\"");
            page.ShouldContain(string.Create(CultureInfo.InvariantCulture,
                $"| `{place.Name}` | `{place.Size}` | {place.BelowCollar} | {place.Width} | {place.Height} | {place.FromCenter} |"));
            place.ShouldBe(PrintPlace.Of(place.Name, place.Size));
            // Each lies on the standard platen of 14 x 16 in.
            (place.FromCenter + (place.Width / 2)).ShouldBeLessThanOrEqualTo(7);
        }

        foreach (string size in (string[])["adult", "large", "youth"])
        {
            PrintPlace.All.Count(place => place.Size == size).ShouldBe(4);
        }

        Should.Throw<ArgumentException>(() => PrintPlace.Of("left-chest", "toddler"));
    }

    // 601 px at 5 in have 120.2 to the inch; fitted again to 4 in they have 150.25, whatever was made of them between.
    [Fact]
    public void The_effective_resolution_stays_with_the_art()
    {
        var once = Fit(Plane<Rgba8>.OneValue(601, 400, Orange), "width=5in allow-low-resolution=true").Run.Art.Artwork;
        (once.Ground.Scale * 300).ShouldBe(120.2, 1e-9);
        var twice = Shelf.Run("fit-to-platen", once, Shelf.Light, Sets("width=4in"));
        twice.Run.Reporter.Notes.ShouldContain(note => note.StartsWith("Effective resolution: 150.3", StringComparison.Ordinal));
        (twice.Run.Art.Artwork.Ground.Scale * 300).ShouldBe(150.25, 1e-9);
        Should.Throw<Exception>(() => Shelf.Run("fit-to-platen", once, Shelf.Light, Sets("width=4.5in"))).ToString().ShouldContain("with --set width=4in,");
        // What fits already keeps it, and so does art that isn't resampled.
        Shelf.Run("fit-to-platen", once, Shelf.Light, Sets("width=5in")).Run.Art.Artwork.Ground.Scale.ShouldBe(once.Ground.Scale);
        Fit(Plane<Rgba8>.OneValue(600, 400, Orange), "width=2in").Run.Art.Artwork.Ground.Scale.ShouldBe(1);
    }

    [Theory]
    [InlineData("width=4.02in", "149.3 pixels per printed inch are below the floor of 150. Print it at most 4 x 2.66 in with --set width=4in,")]
    [InlineData("width=2in height=2in", "Give width or height, not both")]
    [InlineData("width=0in", "no size")]
    [InlineData("width=2in left=12.5in", "isn't inside the platen of 14 x 16 in")]
    [InlineData("width=2in top=15in", "isn't inside the platen")]
    public void What_would_be_a_bad_print_is_declined(string sets, string says) =>
        Should.Throw<Exception>(() => Fit(Plane<Rgba8>.OneValue(600, 400, Orange), sets)).ToString().ShouldContain(says);

    // What was fitted has the platen's size; fitted again it would be as small once more. The ink is 2 x 1.33 in.
    [Theory]
    [InlineData("width=2in")]
    [InlineData("width=9in")]
    [InlineData("height=1.5in")]
    [InlineData("center=false")]
    public void Fitted_art_fits_already(string sets)
    {
        var fitted = Fit(Plane<Rgba8>.OneValue(600, 400, Orange), "width=2in").Run.Art.Artwork.WithLayer(Layer.Over("of another recipe", Plane<Rgba8>.OneValue(4200, 4800, Rgba8.ClearWhite)));
        var again = Shelf.Run("fit-to-platen", fitted, Shelf.Light, Sets(sets));
        again.Run.Art.Artwork.ShouldBeSameAs(fitted);
        again.Run.Art.Declared.ShouldBe(Declaration.Nothing);
        again.Run.Reporter.Notes.ShouldHaveSingleItem().ShouldStartWith("It fits already: the art has the platen's size, and its ink measures 2.00 x 1.33 in.");
    }

    // Ink of 300 x 150 px amid white, enlarged: its mixed edge is wider than what was asked for, by a px of the art on each side at most.
    [Theory]
    [InlineData("width=2in")]
    [InlineData("height=1in")]
    [InlineData("by=ink")]
    public void Fitted_art_with_a_soft_edge_fits_already(string sets)
    {
        var art = Made(600, 400, (x, y) => x is >= 100 and < 400 && y is >= 150 and < 300 ? Orange : Rgba8.White);
        var fitted = Fit(art, sets + " allow-low-resolution=true").Run.Art.Artwork;
        var again = Shelf.Run("fit-to-platen", fitted, Shelf.Light, Sets(sets));
        again.Run.Art.Artwork.ShouldBeSameAs(fitted);
        again.Run.Reporter.Notes.ShouldHaveSingleItem().ShouldStartWith("It fits already");
    }

    // The setup's resolution stands in for the art's own, and only the file knows that it has none.
    [Theory]
    [InlineData(null)]
    [InlineData(299.8)]
    public void Fitted_art_without_the_resolution_gets_it_and_keeps_its_pixels(double? ppi)
    {
        var fitted = Artwork.FromPixels(Fit(Plane<Rgba8>.OneValue(600, 400, Orange), "width=2in").Run.Art.Artwork.Flat, ppi);
        var again = Shelf.Run("fit-to-platen", fitted, Shelf.Light);
        again.ShouldBeClear();
        again.Run.Reporter.Notes.ShouldHaveSingleItem().ShouldStartWith("It fits already");
        again.Run.Art.Artwork.PixelsPerInch.ShouldBe(300);
        again.Run.Art.Artwork.Flat.SameSamples(fitted.Flat).ShouldBeTrue();
    }

    // Ink that is too large, reaches into the margin, or is asked for elsewhere: the picture, or its ink, becomes smaller. The size stays,
    // so the guardrails see ink that moves, which nobody declared, and where it moves far, that most of it is gone. Drawn: 1800 to 2400 px from the left, 0 to
    // 400 px from the top; the
    // smallest lies in there.
    [Theory]
    [InlineData("width=1in by=canvas", 1950 + (1800 / 14.0), 600 / 14.0, Guardrails.LostToWhite, Guardrails.InkMostlyLost)]
    [InlineData("by=canvas", 75 + (1800 * 13.5 / 14), 600 * 13.5 / 14, Guardrails.LostToWhite, Guardrails.AddedInk)]
    [InlineData("center=true by=canvas", 75 + (1800 * 13.5 / 14), 600 * 13.5 / 14, Guardrails.LostToWhite, Guardrails.AddedInk)]
    [InlineData("width=10in top=4in left=1in by=canvas", 300 + (1800 * 10 / 14.0), 600 * 10 / 14.0, Guardrails.LostToWhite, Guardrails.AddedInk,
        Guardrails.InkMostlyLost)]
    [InlineData("width=1in", 1950, 300, Guardrails.LostToWhite, Guardrails.InkMostlyLost)]
    [InlineData("width=2in top=4in left=1in", 300, 600, Guardrails.LostToWhite, Guardrails.AddedInk, Guardrails.InkMostlyLost)]
    public void Art_of_the_platen_s_size_that_does_not_fit_is_sized_as_a_whole_and_refused(string sets, double left, double wide, params string[] guards)
    {
        var drawn = Fit(Plane<Rgba8>.OneValue(600, 400, Orange), "width=2in top=0in").Run.Art.Artwork;
        var made = Shelf.Run("fit-to-platen", drawn, Shelf.Light, Sets(sets));
        made.Run.Reporter.Notes.ShouldContain(note =>
            note.StartsWith("The art has the platen's size already, so every pixel is held against the one that was there.", StringComparison.Ordinal));
        made.Run.Art.Declared.ShouldBe(new Declaration(SizeChange: true));
        made.Guarded.Guards.Where(guard => guard.Outcome == GuardOutcome.Refused).Select(guard => guard.Name).ShouldBe(guards);
        var ink = Find.Where(made.Run.Art.Artwork.Flat, pixel => pixel == Orange).Bounds!.Value;
        // A mixed px may lie at each end.
        ((double)ink.X).ShouldBe(left, 1.5);
        ((double)ink.Width).ShouldBe(wide, 2.5);
    }

    // A size that isn't a whole number of inches at 150 ppi: what is advised must be enough.
    [Theory]
    [InlineData("width=13in")]
    [InlineData("height=13in")]
    public void The_size_that_it_advises_is_accepted(string sets)
    {
        var art = Plane<Rgba8>.OneValue(601, 1001, Orange);
        string advised = Regex.Match(Should.Throw<Exception>(() => Fit(art, sets)).ToString(), "--set ((width|height)=[0-9.]+in),").Groups[1].Value;
        advised.ShouldStartWith(sets[..5]);
        Fit(art, advised).Run.Reporter.Notes.ShouldContain(note => note.StartsWith("Effective resolution: 150"));
    }

    [Fact]
    public void The_safe_margin_is_spoken_of() =>
        Fit(Plane<Rgba8>.OneValue(600, 400, Orange), "width=2in top=0.2in").Run.Reporter.Notes.ShouldContain("It reaches into the safe margin of 0.25 in.");

    [Fact]
    public void The_ink_inside_an_empty_border_is_measured() =>
        Fit(Made(600, 400, (x, y) => x is >= 100 and < 400 && y is >= 50 and < 200 ? Orange : Rgba8.White), "width=2in by=canvas").Run.Reporter.Notes
            .ShouldContain("Its ink alone measures 1.00 x 0.50 in.");

    // Ink of 300 x 150 px in a picture of 600 x 400, on a platen of 14 x 16 in at 300 ppi with a safe margin of 0.25 in: where the ink lies then, by
    // arithmetic, and how large the whole picture would be.
    [Theory]
    [InlineData("width=1in", 1950, 75, 300, 150, "2.00 x 1.33 in; the bare margin beyond the platen is cut off.", 300)]
    [InlineData("width=1in top=2in", 1950, 600, 300, 150, "2.00 x 1.33 in.", 300)]
    [InlineData("width=2in allow-low-resolution=true", 1800, 75, 600, 300, "4.00 x 2.67 in; the bare margin beyond the platen is cut off.", 150)]
    [InlineData("height=1in top=0in left=0in", 0, 0, 600, 300, "4.00 x 2.67 in; the bare margin beyond the platen is cut off.", 150)]
    [InlineData("width=1in left=13in top=15.5in", 3900, 4650, 300, 150, "2.00 x 1.33 in; the bare margin beyond the platen is cut off.", 300)]
    [InlineData("allow-low-resolution=true", 75, 75, 4050, 2025, "27.00 x 18.00 in; the bare margin beyond the platen is cut off.", 22.22)]
    public void The_ink_is_sized_and_placed_and_bare_margins_may_go_beyond(string sets, int x, int y, int width, int height, string whole, double effective)
    {
        var made = Fit(Made(600, 400, (x, y) => x is >= 100 and < 400 && y is >= 150 and < 300 ? Orange : Rgba8.White), sets);
        made.ShouldBeClear();
        var flat = made.Run.Art.Artwork.Flat;
        flat.Grid.ShouldBe(new TileGrid(4200, 4800));
        // A mixed edge reaches as far as the px of the art that it is made of; what is orange through and through, as far in.
        int soft = Math.Max(1, width / 300 * 2);
        var (outer, inner) = (new Box(x, y, width, height).Grow(soft).Within(new Box(0, 0, 4200, 4800)), new Box(x, y, width, height).Grow(-soft));
        var drawn = Find.Where(flat, pixel => pixel != Rgba8.White).Bounds.ShouldNotBeNull();
        drawn.Within(outer).ShouldBe(drawn);
        Find.Where(flat, pixel => pixel == Orange).Bounds.ShouldNotBeNull().Around(inner).Within(inner).ShouldBe(inner);
        made.Run.Reporter.Notes.ShouldContain($"The whole picture measures {whole}");
        string resolution = string.Create(CultureInfo.InvariantCulture, $"Effective resolution: {effective:0.#} pixels");
        made.Run.Reporter.Notes.ShouldContain(note => note.StartsWith(resolution, StringComparison.Ordinal));
    }

    // What cleaning takes isn't measured, or no order on a JPEG's paper would have the size that was asked for. The dust is three levels off white.
    [Fact]
    public void Dust_on_the_paper_is_not_measured_and_spoken_of()
    {
        var dusty = new Rgba8(252, 252, 252);
        var made = Fit(Made(600, 400,
            (x, y) => x is >= 100 and < 400 && y is >= 150 and < 300 ? Orange : (x + y) % 4 == 0 ? dusty : Rgba8.White), "width=1in");
        made.Run.Reporter.Notes.ShouldContain(note =>
            note.StartsWith("The ink measures 1.00 x 0.50 in on the garment, 6.50 in from the left and 0.25 in", StringComparison.Ordinal));
        // Every fourth px of 240,000 less 45,000, give or take where the rectangle begins.
        string said = made.Run.Reporter.Notes.Single(note => note.StartsWith("Not measured", StringComparison.Ordinal));
        int dust = int.Parse(Regex.Match(said, "[0-9,]+").Value, NumberStyles.AllowThousands, CultureInfo.InvariantCulture);
        dust.ShouldBeInRange(48_700, 48_800);
    }

    // ImageSharp 2.1.13 resizes with Lanczos of radius 3 and, with Compand, in linear light of its own transfer function.
    // Its tables and rounding differ, hence one level. The art is smooth, so that none of our own rules steps in.
    [Theory]
    [InlineData(96, 80, 200, 170)]
    [InlineData(96, 80, 131, 97)]
    [InlineData(400, 300, 150, 113)]
    public void Smooth_art_is_resampled_as_another_library_does(int width, int height, int newWidth, int newHeight)
    {
        var art = Made(width, height, (x, y) => new Rgba8(Wave(x, width, 3), Wave(y, height, 2), Wave(x + y, width + height, 5)));
        var made = Resample.To(art, newWidth, newHeight).ToContiguous();
        using var image = Image.LoadPixelData<Rgba32>(System.Runtime.InteropServices.MemoryMarshal.AsBytes<Rgba8>(art.ToContiguous()), width, height);
        image.Mutate(context => context.Resize(new ResizeOptions { Size = new Size(newWidth, newHeight), Sampler = KnownResamplers.Lanczos3, Compand = true, Mode = ResizeMode.Stretch }));
        int off = 0;
        for (int i = 0; i < made.Length; i++)
        {
            // Beside the border the kernel is cut off and overshoots even here; there our rule of ranges steps in.
            double x = (i % newWidth + 0.5) * width / newWidth, y = (i / newWidth + 0.5) * height / newHeight;
            if (Math.Min(Math.Min(x, width - x), Math.Min(y, height - y)) < 3 * Math.Max(1, (double)width / newWidth))
            {
                continue;
            }

            var theirs = image[i % newWidth, i / newWidth];
            int difference = made[i].LargestDifference(new Rgba8(theirs.R, theirs.G, theirs.B, theirs.A));
            difference.ShouldBeLessThanOrEqualTo(1, $"{i % newWidth},{i / newWidth}");
            off += difference;
        }

        // A level off is the exception.
        off.ShouldBeLessThan(made.Length / 5);

        static byte Wave(int at, int length, int waves) => (byte)Math.Round(128 + (70 * Math.Sin(2 * Math.PI * waves * (at + 0.5) / length)));
    }

    // A disc as a rasterizer draws it, with its soft edge, on white and on transparency, under both garments.
    [Theory]
    [InlineData("light", true)]
    [InlineData("black", true)]
    [InlineData("light", false)]
    [InlineData("black", false)]
    public void Background_stays_exact_and_black_stays_black(string garment, bool opaque)
    {
        var art = Made(300, 300, (x, y) =>
        {
            double far = Math.Sqrt(Math.Pow(x - 149.5, 2) + Math.Pow(y - 149.5, 2));
            return far < 60 ? Rgba8.Black : far < 100 ? Orange : far < 101 ? opaque ? new Rgba8(247, 190, 142) : Orange.WithAlpha(128) : opaque ? Rgba8.White : Rgba8.ClearWhite;
        });
        var setup = (garment == "light" ? Shelf.Light : Shelf.Black) with { PlatenWidth = 3, PlatenHeight = 3 };
        foreach (string width in new[] { "1.7in", "0.73in" })
        {
            var made = Shelf.Run("fit-to-platen", art, setup, ("width", width), ("left", "0in"), ("top", "0in"), ("by", "canvas"));
            made.ShouldBeClear();
            var flat = made.Run.Art.Artwork.Flat;
            double factor = 300 / (double.Parse(width[..^2], CultureInfo.InvariantCulture) * 300);
            for (int y = 0; y < 520; y++)
            {
                for (int x = 0; x < 520; x++)
                {
                    var p = flat[x, y];
                    double far = Math.Sqrt(Math.Pow(((x + 0.5) * factor) - 150, 2) + Math.Pow(((y + 0.5) * factor) - 150, 2)), reach = 1.5 * Math.Max(1, factor);
                    if (far > 101 + reach)
                    {
                        p.ShouldBe(opaque ? Rgba8.White : Rgba8.ClearWhite, $"{x},{y}");
                    }
                    else if (far < 60 - reach)
                    {
                        p.ShouldBe(Rgba8.Black);
                    }

                    bool nearWhite = p.A > 0 && Math.Min(p.R, Math.Min(p.G, p.B)) >= 232, nearBlack = p.A > 0 && Math.Max(p.R, Math.Max(p.G, p.B)) <= 23;
                    (!nearWhite || p.IsPureWhite).ShouldBeTrue($"{x},{y} {p}");
                    (!nearBlack || p.IsPureBlack).ShouldBeTrue($"{x},{y} {p}");
                }
            }
        }
    }

    // Or white ground would count as surrounded by the bare platen, and print.
    [Fact]
    public void The_next_recipe_finds_the_same_enclosed_whites()
    {
        var art = Made(300, 300, (x, y) => Math.Max(Math.Abs(x - 150), Math.Abs(y - 150)) is >= 40 and < 80 ? Orange : Rgba8.White);
        var made = Shelf.Run("fit-to-platen", art, Shelf.Black, ("width", "2in"), ("by", "canvas"));
        // 79 px across inside, doubled; the mixed edge takes a px of it at most on each side.
        var enclosed = Find.PureWhite(made.Run.Art.Artwork.Flat).Enclosed(24);
        enclosed.Islands().Count.ShouldBe(1);
        enclosed.Count.ShouldBeInRange(156L * 156, 158 * 158);
        var printsWhite = Shelf.Black with { Ink = new InkRules { WhiteBare = false } };
        Shelf.Run("fit-to-platen", art, printsWhite, ("width", "2in"), ("by", "canvas")).Run.Art.Artwork.Flat[0, 0].ShouldBe(Rgba8.ClearWhite);
    }

    [Fact]
    public void A_recipe_that_sizes_does_nothing_else()
    {
        var art = Artwork.FromPixels(Made(100, 100, (x, y) => x is > 40 and < 60 && y is > 40 and < 60 ? Rgba8.White : Orange), 300);
        var first = new RecipeRun(art, Shelf.Light, new Dictionary<string, string>()).Art;
        first.MakePrintable(first.Find.PureWhite(), "whites");
        Should.Throw<InvalidOperationException>(() => first.PlaceOnPlaten(new Box(0, 0, 100, 100), 300));
        var second = new RecipeRun(art, Shelf.Light, new Dictionary<string, string>()).Art;
        second.PlaceOnPlaten(new Box(0, 0, 100, 100), 300);
        Should.Throw<InvalidOperationException>(() => second.LeaveBare(second.Find.PureWhite(), "bare"));
        Should.Throw<InvalidOperationException>(() => second.PlaceOnPlaten(new Box(0, 0, 100, 100), 300));
    }

    // Two decimals of an inch hold no size for it.
    [Fact]
    public void No_size_is_advised_where_there_is_none()
    {
        string says = Should.Throw<Exception>(() => Fit(Plane<Rgba8>.OneValue(1, 400, Orange), "width=1in")).ToString();
        says.ShouldContain("below the floor of 150. Ask for larger art, or accept it with --set allow-low-resolution=true.");
    }

    private static Outcome Fit(Plane<Rgba8> art, string sets) =>
        Shelf.Run("fit-to-platen", art, Shelf.Light, Sets(sets));

    private static (string, string)[] Sets(string sets) => [.. sets.Split(' ').Select(set => (set.Split('=')[0], set.Split('=')[1]))];

    private static Plane<Rgba8> Made(int width, int height, Func<int, int, Rgba8> color) =>
        Plane<Rgba8>.FromContiguous(width, height, Enumerable.Range(0, width * height).Select(i => color(i % width, i / width)).ToArray());
}
