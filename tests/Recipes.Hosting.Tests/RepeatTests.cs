using Recipes.Hosting.Arts;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tests.Work;
using Recipes.Hosting.Tickets;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tests;

/// <summary>What a repeat order says about the prints before it: real work files, and setups of which one field differs.</summary>
public sealed class RepeatTests : IDisposable
{
    private static readonly Rgba8 Blue = new(24, 48, 160), Orange = new(240, 124, 28), Green = new(20, 140, 60);
    private static readonly GarmentSetup Shop = new()
    {
        Name = "black-shop", Garment = new Rgba8(22, 22, 24), PlatenWidth = 14, PlatenHeight = 16, InkLot = "W-117", Pretreatment = "dark 2, 18 g",
        Chart = new ChartReference("chart.txt", new string('1', 64), "2026-03-01"),
    };

    private readonly string folder = Sample.Folder();
    private readonly WorkFile work;

    public RepeatTests()
    {
        work = WorkFile.Create(Path.Combine(folder, "harbor-run.png.work"), Sample.Original, Bands(Blue, Orange));
        // The sail turns green, and back.
        work.Commit(Shop.Name, 0, Sample.Record(), Bands(Blue, Green));
        work.Commit(Shop.Name, 1, Sample.Record(), Bands(Blue, Orange));
    }

    public void Dispose()
    {
        work.Dispose();
        Directory.Delete(folder, recursive: true);
    }

    [Fact]
    public void Without_a_remembered_print_there_is_nothing_to_compare_with()
    {
        foreach (var state in new[] { State(Shop, 2), State(Shop, 2) with { Work = null } })
        {
            var repeat = Of(state);
            (repeat.LastGood, repeat.BadSince, repeat.TestFirst).ShouldBe((null, null, false));
        }
    }

    [Fact]
    public void The_same_print_again_needs_no_test()
    {
        Print(Shop, 2);
        var repeat = Of(State(Shop, 2));
        repeat.LastGood!.Print.Step.ShouldBe(2);
        (repeat.TestFirst, repeat.Changes.Length, repeat.Affected.Length).ShouldBe((false, 0, 0));
    }

    public static TheoryData<string, GarmentSetup> Changed => new()
    {
        { "ink lot", Shop with { InkLot = "W-118" } },
        { "ink lot", Shop with { InkLot = null } },
        { "pretreatment", Shop with { Pretreatment = "dark 3, 20 g" } },
        { "chart", Shop with { Chart = Shop.Chart! with { Date = "2026-05-01" } } },
        { "chart's hash", Shop with { Chart = Shop.Chart! with { Sha256 = new string('2', 64) } } },
        { "garment", Shop with { Garment = new Rgba8(120, 20, 40) } },
        { "stays bare", Shop with { Ink = Shop.Ink with { BlackBare = true } } },
        { "brightest white", Shop with { Ink = Shop.Ink with { BrightestWhite = new Rgba8(253, 253, 253) } } },
        { "darkest black", Shop with { Ink = Shop.Ink with { DarkestBlack = new Rgba8(2, 2, 2) } } },
        { "underbase", Shop with { Underbase = Underbase.File } },
        { "platen", Shop with { PlatenWidth = 16 } },
        { "resolution", Shop with { PixelsPerInch = 600 } },
    };

    [Theory]
    [MemberData(nameof(Changed))]
    public void A_field_that_reaches_the_garment_asks_for_a_test_and_may_shift_every_color(string what, GarmentSetup now)
    {
        Print(Shop, 2);
        var repeat = Of(State(now, 2));
        repeat.Changes.ShouldHaveSingleItem().What.ShouldBe(what);
        repeat.TestFirst.ShouldBeTrue();
        repeat.Affected.Select(color => color.Color).ShouldBe([Blue, Orange], ignoreOrder: true);
    }

    [Fact]
    public void Fields_that_do_not_reach_the_garment_and_the_letters_of_a_hash_ask_for_none()
    {
        Print(Shop with { Chart = Shop.Chart! with { Sha256 = new string('a', 64) } }, 2);
        Of(State(Shop with
        {
            Chart = Shop.Chart! with { Sha256 = new string('A', 64) }, SafeMargin = 0.5, InkConstants = new InkConstants(12, 1.1), Ink = Shop.Ink with { BareAs = BareAs.White },
        }, 2)).TestFirst.ShouldBeFalse();
    }

    [Fact]
    public void Other_pixels_are_counted_and_only_their_new_colors_are_affected()
    {
        Print(Shop, 1);
        var repeat = Of(State(Shop, 2));
        // The right band is 20 x 30 px.
        repeat.Changes.ShouldHaveSingleItem().ShouldBe(new PrintChange("art", "step 1", "step 2; 600 px differ"));
        repeat.Affected.ShouldHaveSingleItem().Color.ShouldBe(Orange);
    }

    [Fact]
    public void Another_step_of_the_same_pixels_is_the_same_print()
    {
        Print(Shop, 0);
        Of(State(Shop, 2)).TestFirst.ShouldBeFalse();
    }

    [Fact]
    public void Another_size_and_another_underbase_are_said()
    {
        Print(Shop, 2);
        var small = State(Shop, 2) with { Step = 9, Art = Bands(Blue, Orange, 50) };
        Of(small).Changes.ShouldHaveSingleItem().ShouldBe(new PrintChange("size", "60 x 30 px at 300 ppi", "50 x 30 px at 300 ppi"));
        var art = Bands(Blue, Orange);
        art = art.WithLayers(art.Layers.Add(Layer.Separation("underbase", LayerIntent.Underbase, Plane<byte>.OneValue(60, 30, 255))));
        Of(State(Shop, 2) with { Step = 9, Art = art }).Changes.ShouldHaveSingleItem().What.ShouldBe("file's underbase");
    }

    [Fact]
    public void A_bad_print_after_the_good_one_asks_for_a_test_until_a_good_one_follows()
    {
        Print(Shop, 2, good: false);
        var repeat = Of(State(Shop, 2));
        (repeat.LastGood, repeat.BadSince!.Print.IsGood, repeat.TestFirst, repeat.Affected.Length).ShouldBe((null, false, true, 2));
        Print(Shop, 2);
        Of(State(Shop, 2)).TestFirst.ShouldBeFalse();
        Print(Shop, 2, good: false);
        repeat = Of(State(Shop, 2));
        (repeat.LastGood!.Print.IsGood, repeat.BadSince!.Print.IsGood, repeat.Changes.Length, repeat.TestFirst).ShouldBe((true, false, 0, true));
    }

    [Fact]
    public void Where_only_another_setup_printed_well_that_is_compared_with()
    {
        Print(Shop, 2);
        var repeat = Of(State(Shop with { Name = "black-shop-2" }, 0));
        repeat.LastGood!.Setup.ShouldBe("black-shop");
        repeat.Changes.ShouldHaveSingleItem().ShouldBe(new PrintChange("garment setup", "black-shop", "black-shop-2"));
        repeat.TestFirst.ShouldBeTrue();
    }

    [Theory]
    [InlineData("{")]
    [InlineData("""{"name":"../x","platen":{"width":14,"height":16}}""")]
    [InlineData("""{"platen":{"width":1e9,"height":16}}""")]
    public void A_remembered_setup_that_is_none_is_a_problem(string setupJson)
    {
        work.RecordPrint(Shop.Name, Sample.Print(2) with { SetupJson = setupJson });
        Should.Throw<ProblemException>(() => Of(State(Shop, 2))).Problems[0].Code.ShouldBe(Codes.BadSetup);
    }

    [Fact]
    public void A_bracket_is_offered_for_each_affected_color_as_a_command_that_the_chart_takes()
    {
        Print(Shop, 2);
        var ticket = Ticket.Of(State(Shop with { InkLot = "W-118" }, 2));
        ticket.Steps.Select(step => step.Number).ShouldBe([1, 2]);
        ticket.Brackets("black-shop").ShouldBe([
            "recipes chart --around '#1830a0' -o around-1830a0.png --setup black-shop",
            "recipes chart --around '#f07c1c' -o around-f07c1c.png --setup black-shop"]);
        ticket.Brackets("lots of may.json")[0].ShouldEndWith("--setup 'lots of may.json'");
    }

    private static Repeat Of(ArtState state) => Repeat.Of(state, MainColors.Of(state.Art.Flat, state.Setup.Ink).Colors);

    private void Print(GarmentSetup setup, int step, bool good = true) =>
        work.RecordPrint(setup.Name, Sample.Print(step, good) with { SetupJson = SetupJson.Text(setup) });

    private ArtState State(GarmentSetup setup, int step) => new()
    {
        File = new ArtFile("harbor-run.png", [], work.Original.Sha256),
        Art = work.Read(setup.Name, step),
        Identity = new ArtIdentity("harbor-run.png", work.Original.Sha256, 60, 30, 300, "PNG, 8-bit RGBA", []),
        Step = step,
        StateSha256 = "",
        Setup = setup,
        SetupIsFallback = false,
        Work = work,
    };

    // A band of 40 px and one of what is left.
    private static Artwork Bands(Rgba8 left, Rgba8 right, int width = 60) => Artwork.FromPixels(
        Plane<Rgba8>.FromContiguous(width, 30, Enumerable.Range(0, width * 30).Select(i => i % width < 40 ? left : right).ToArray()), 300);
}
