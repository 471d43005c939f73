using Recipes.Hosting.Setups;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Tests.Work;
using Recipes.Hosting.Tickets;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tests.Prints;

/// <summary>What bad prints have in common, in real work files; the counts are done by hand.</summary>
public sealed class PrintReasonsTests : IDisposable
{
    private static readonly GarmentSetup Black = new()
    {
        Name = "black-shop", Garment = new Rgba8(22, 22, 24), PlatenWidth = 14, PlatenHeight = 16, InkLot = "W-117",
    };

    private static readonly GarmentSetup Light = new()
    {
        Name = "light-shop", Garment = new Rgba8(244, 242, 236), PlatenWidth = 14, PlatenHeight = 16,
    };

    private static readonly DateTimeOffset Monday = new(2026, 11, 23, 23, 30, 0, TimeSpan.Zero);

    private readonly string folder = Sample.Folder();
    private readonly Shop shop = new() { Clock = TimeProvider.System };

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Bad_prints_are_counted_by_what_they_were_printed_with()
    {
        TwoArts();
        var reasons = PrintReasons.Of(shop, [folder], new PrintFilter());
        (reasons.Arts, reasons.All.Bad, reasons.All.Prints, reasons.LeftOut.Length).ShouldBe((2, 4, 6, 0));
        Words(reasons.All.Costs).ShouldBe("3.00, 20.50 EUR");
        Of(reasons, "cause").ShouldBe(["dust 2/2 20.50 EUR", "- 1/1 ", "rim 1/1 3.00"]);
        // Two steps lead to the sail's print, so both count it; the run's was the original.
        Of(reasons, "recipe").ShouldBe(["clean-background 2/3 20.50 EUR", "printable-whites 2/3 20.50 EUR", "- 2/3 3.00"], ignoreOrder: true);
        Of(reasons, "setup").ShouldBe(["black-shop 3/5 20.50 EUR", "light-shop 1/1 3.00"]);
        Of(reasons, "garment").ShouldBe(["#161618 3/5 20.50 EUR", "#f4f2ec 1/1 3.00"]);
        Of(reasons, "lot").ShouldBe(["W-117 2/4 20.50 EUR", "- 1/1 3.00", "W-118 1/1 "], ignoreOrder: true);
        Of(reasons, "shift").ShouldBe(["night-shift 3/4 3.00, 20.50 EUR", "- 1/1 "]);
    }

    [Fact]
    public void What_is_counted_can_be_narrowed_down()
    {
        TwoArts();
        Count(new PrintFilter(Since: Monday.AddDays(1))).ShouldBe((1, 2));
        Count(new PrintFilter(Since: Monday.AddDays(1).AddTicks(1))).ShouldBe((0, 1));
        Count(new PrintFilter(Setup: "light-shop")).ShouldBe((1, 1));
        Count(new PrintFilter(Recipe: "clean-background")).ShouldBe((2, 3));
        Count(new PrintFilter(By: "NIGHT-shift")).ShouldBe((3, 4));
        Count(new PrintFilter(By: "nobody")).ShouldBe((0, 0));

        (int, int) Count(PrintFilter filter)
        {
            var all = PrintReasons.Of(shop, [folder], filter).All;
            return (all.Bad, all.Prints);
        }
    }

    [Fact]
    public void An_art_is_counted_once_however_it_is_named_and_a_damaged_work_file_in_a_folder_is_left_out()
    {
        TwoArts();
        string art = Path.Combine(folder, "sail.png");
        PrintReasons.Of(shop, [art], new PrintFilter()).All.Prints.ShouldBe(3);
        PrintReasons.Of(shop, [folder, art, folder], new PrintFilter()).All.Prints.ShouldBe(6);
        PrintReasons.Of(new Shop { Clock = TimeProvider.System, WorkFolder = folder }, ["elsewhere/sail.png"], new PrintFilter()).All.Prints.ShouldBe(3);
        Should.Throw<ProblemException>(() => PrintReasons.Of(shop, [Path.Combine(folder, "gull.png")], new PrintFilter()))
            .Problems[0].Code.ShouldBe(Codes.ArtMissing);

        File.WriteAllText(art + ".work", "no work file");
        var left = PrintReasons.Of(shop, [folder], new PrintFilter());
        left.All.Prints.ShouldBe(3);
        var warning = left.LeftOut.ShouldHaveSingleItem();
        (warning.Code, warning.Severity).ShouldBe((Codes.DamagedWorkFile, Severity.Warning));
        Should.Throw<ProblemException>(() => PrintReasons.Of(shop, [art], new PrintFilter()))
            .Problems[0].Code.ShouldBe(Codes.DamagedWorkFile);
    }

    // A list that was kept as one step counts its recipes; what a stranger's work file calls itself is cleaned and cut.
    [Fact]
    public void A_list_counts_its_recipes_and_hostile_names_are_cleaned()
    {
        using (var work = WorkFile.Create(Path.Combine(folder, "run.png.work"), Sample.Original, Sample.Noise(0, 20, 10)))
        {
            work.Commit("a", 0, Sample.Record("usual") with { ReportJson = """{"recipes":["fit-to-platen","remove-halo","remove-halo"]}""" },
                Sample.Noise(1, 20, 10));
            work.RecordPrint("a", Sample.Print(1, good: false) with
            {
                SetupJson = $$"""{"inkLot":"\u202E\u0007{{new string('W', 300)}}","garment":7}""", By = " ",
            });
        }

        var reasons = PrintReasons.Of(shop, [folder], new PrintFilter());
        Of(reasons, "recipe").ShouldBe(["fit-to-platen 1/1 ", "remove-halo 1/1 "]);
        Of(reasons, "garment").ShouldBe(["- 1/1 "]);
        Of(reasons, "shift").ShouldBe(["- 1/1 "]);
        string lot = reasons.Groups.Single(group => group.By == "lot").Counts[0].Name!;
        lot.Length.ShouldBe(81);
        lot.ShouldNotContain('\u202E');
        lot.ShouldNotContain('\u0007');
    }

    // A list holds 32 recipes; what calls itself a longer one was written by hand.
    [Fact]
    public void A_list_without_end_counts_as_a_full_one_and_counting_can_be_ended()
    {
        string names = string.Join(',', Enumerable.Range(0, 5000).Select(i => $"\"r{i}\""));
        using (var work = WorkFile.Create(Path.Combine(folder, "run.png.work"), Sample.Original, Sample.Noise(0, 20, 10)))
        {
            work.Commit("a", 0, Sample.Record("usual") with { ReportJson = $$"""{"recipes":[{{names}}]}""" }, Sample.Noise(1, 20, 10));
            work.RecordPrint("a", Sample.Print(1, good: false));
        }

        Of(PrintReasons.Of(shop, [folder], new PrintFilter()), "recipe").Length.ShouldBe(32);
        using var opened = WorkFile.Open(Path.Combine(folder, "run.png.work"))!;
        Should.Throw<OperationCanceledException>(() => CountedPrint.Of(opened, new CancellationToken(canceled: true)).ToList());
    }

    private static string[] Of(PrintReasons reasons, string by) => [.. reasons.Groups.Single(group => group.By == by).Counts
        .Select(count => $"{count.Name ?? "-"} {count.Bad}/{count.Prints} {Words(count.Costs)}")];

    private static string Words(IEnumerable<PrintCost> costs) => string.Join(", ", costs);

    // The run: its original, once good and once without a cause on black, and a rim on light. The sail: two steps, good and twice dusty on black.
    private void TwoArts()
    {
        using (var run = WorkFile.Create(Path.Combine(folder, "run.png.work"), Sample.Original, Sample.Noise(0, 20, 10)))
        {
            run.RecordPrint(Black.Name, Print(Black, 0, true, 0) with { By = "day-shift" });
            run.RecordPrint(Black.Name, Print(Black with { InkLot = "W-118" }, 0, false, 0) with { By = null });
            run.RecordPrint(Light.Name, Print(Light, 0, false, 0) with { Cause = "rim", Cost = new PrintCost(3, null) });
        }

        using var sail = WorkFile.Create(Path.Combine(folder, "sail.png.work"), Sample.Original, Sample.Noise(3, 20, 10));
        sail.Commit(Black.Name, 0, Sample.Record(), Sample.Noise(4, 20, 10));
        sail.Commit(Black.Name, 1, Sample.Record("clean-background"), Sample.Noise(5, 20, 10));
        sail.RecordPrint(Black.Name, Print(Black, 2, false, 0) with { Cause = "dust", Cost = new PrintCost(12.5m, "EUR") });
        sail.RecordPrint(Black.Name, Print(Black, 2, false, 1) with { Cause = "dust", Cost = new PrintCost(8, "EUR") });
        sail.RecordPrint(Black.Name, Print(Black, 2, true, 2));
    }

    private static PrintRecord Print(GarmentSetup setup, int step, bool good, int day) =>
        Sample.Print(step, good) with { SetupJson = SetupJson.Text(setup), By = "night-shift", At = Monday.AddDays(day) };
}
