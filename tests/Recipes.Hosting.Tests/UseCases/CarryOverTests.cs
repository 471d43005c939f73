using Recipes.Hosting.Arts;
using Recipes.Hosting.CarryOvers;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.UseCases;

/// <summary>
/// An art that is sent again: moved, scaled, turned, or with one element changed. The drawing is a rule, so which pixel is which white is known without
/// asking anybody.
/// </summary>
public sealed class CarryOverTests : IDisposable
{
    private enum Spot
    {
        Paper,
        Ink,
        Smudge,
        Belly,
        Hole,
        Sail,
        Added,
    }

    private readonly Bench bench = new();

    public void Dispose() => bench.Dispose();

    [Theory]
    [InlineData(520, 420, 1, 83, 61)]
    [InlineData(600, 450, 1.5, 0, 0)]
    [InlineData(500, 500, 0.7, 190, 240)]
    public void Moved_or_scaled_the_answers_hold(int width, int height, double scale, int x, int y)
    {
        KeepOld();
        // Its work file is enough.
        File.Delete(bench.At("old.png"));
        Draw("new.png", width, height, scale, x, y);
        var carried = Carry("new.png");
        carried.Steps.Select(step => step.Number).ShouldBe([1, 2]);
        (carried.Step, carried.WorkPath, carried.Left).ShouldBe((2, bench.At("new.png.work"), 0));
        carried.Problems.ShouldBeEmpty();
        ShouldBeAnswered("new.png", (px, py) => At(px, py, scale, x, y));
        using var work = bench.Shop.OpenWork(bench.At("new.png"))!;
        work.Line(Bench.Light).Steps.Select(step => (step.Record.By, step.Record.At)).ShouldAllBe(step => step.By == "morning-shift" && step.At == Bench.Now);
    }

    [Fact]
    public void Turned_on_its_side_the_answers_hold_and_a_warning_says_so()
    {
        KeepOld();
        // A quarter turn to the right: what was at x,y of 400 x 300 is at 300 - y,x.
        bench.Draw("turned.png", 300, 400, (x, y) => ColorOf(At(y, 299 - x), belly: true));
        var carried = Carry("turned.png");
        carried.Problems.Select(problem => problem.Code).ShouldBe([Codes.TurnedArt]);
        carried.Steps[0].Parts.ShouldHaveSingleItem().Answers!.Match!.Turn.ShouldBe(new ArtTurn(Mirrored: false, Quarters: 1));
        var placement = carried.Fields["steps"]![0]!["carried"]![0]!["placement"]!;
        (placement["turned"]!.GetValue<int>(), placement["mirrored"]!.GetValue<bool>()).ShouldBe((90, false));
        ShouldBeAnswered("turned.png", (x, y) => At(y, 299 - x));
    }

    [Fact]
    public void An_open_question_keeps_nothing_and_one_of_its_options_answers_it()
    {
        KeepOld();
        Draw("new.png", 400, 300, added: true);
        var before = bench.Snapshot();
        var asked = Carry("new.png");
        asked.WorkPath.ShouldBeNull();
        asked.Left.ShouldBe(1);
        asked.Problems.Select(problem => problem.Code).ShouldBe([Codes.OpenAnswers]);
        bench.Snapshot().Where(file => !file.Key.StartsWith("asked" + Path.DirectorySeparatorChar, StringComparison.Ordinal)).ShouldBe(before);
        File.Exists(asked.Pictures!["report.json"]).ShouldBeTrue();
        // A circle of radius 28 around 340,70: the only white that wasn't there; its top row makes it number 1. The hole was region 2 and is 3.
        var region = asked.Question!.Answers.Open.ShouldHaveSingleItem().Region;
        (region.Number, region.Box).ShouldBe((1, new Box(312, 42, 56, 56)));
        var option = asked.Question.Options.ShouldHaveSingleItem();
        (option.Without, option.With).ShouldBe(("printable-whites.except=3", "printable-whites.except=1,3"));

        before = bench.Snapshot();
        Carry("new.png", request => request with { Sets = [option.With!], Keep = false }).Steps.Select(step => step.Number).ShouldBe([1, 2]);
        bench.Snapshot().ShouldBe(before);
        Carry("new.png", request => request with { Sets = [option.With!] }).Step.ShouldBe(2);
        ShouldBeAnswered("new.png", (x, y) => At(x, y, added: true));
        Bench.Refused(() => Carry("new.png")).Code.ShouldBe(Codes.StepsHere);
    }

    [Fact]
    public void What_fits_no_step_is_refused()
    {
        KeepOld();
        Draw("new.png", 400, 300);
        var before = bench.Snapshot();
        Bench.Refused(() => Carry("new.png", request => request with { Sets = ["nobody.except=1"] })).Code.ShouldBe(Codes.UnknownParameter);
        Bench.Refused(() => Carry("old.png")).Code.ShouldBe(Codes.BadUsage);
        Bench.Refused(() => Carry("new.png", request => request with { Setup = "black-garment" })).Code.ShouldBe(Codes.UnknownStep);
        Bench.Refused(() => Carry("new.png", request => request with { OldPath = bench.At("nowhere.png") })).Code.ShouldBe(Codes.ArtMissing);
        Bench.Refused(() => Carry("old.png", request => request with { OldPath = bench.At("new.png") })).Code.ShouldBe(Codes.UnknownStep);
        bench.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void A_guardrail_that_refuses_a_later_step_keeps_none()
    {
        const string fade = """
            var to = Param.Color("to", "#808080", help: "The color");
            Art.Fill(Art.Find.Where(p => p.R == 24), to, layer: "fade");
            """;
        KeepOld();
        bench.Commit(bench.Write("fade.csx", fade), bench.At("old.png"), null);
        Draw("new.png", 400, 300);
        var before = bench.Snapshot();
        var carried = Carry("new.png", request => request with
        {
            RecipesFolder = bench.Folder, Sets = ["fade.to=#ffffff"], Guardrails = Guardrails.Default.With(Guardrails.LostToWhite, GuardPolicy.Refuse),
        });
        carried.Steps.Select(step => step.Number).ShouldBe([1, 2, null]);
        carried.Problems.ShouldHaveSingleItem().Code.ShouldBe(Codes.GuardrailRefused);
        carried.Problems[0].Message.ShouldStartWith("step 3, fade: lost-to-white");
        (carried.Step, carried.WorkPath).ShouldBe((0, null));
        bench.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void Strictly_an_open_question_keeps_nothing()
    {
        // A white belly that runs off the picture below: on black cloth somebody must say whether it prints. A white eye is enclosed.
        static Rgba8 Puffin(int x, int y) => x is >= 100 and < 300 && y >= 60 && !(x is >= 150 and < 250 && y >= 150)
            && !(x is >= 120 and < 150 && y is >= 80 and < 110)
            ? new Rgba8(24, 48, 92) : Rgba8.White;
        bench.Commit("printable-whites", bench.Draw("old.png", 400, 300, Puffin), "black-garment");
        bench.Draw("new.png", 400, 300, Puffin);
        var before = bench.Snapshot();
        var carried = Carry("new.png", request => request with { Strict = true });
        var problem = carried.Problems.ShouldHaveSingleItem();
        problem.Code.ShouldBe(Codes.OpenQuestions);
        problem.Hint.ShouldContain("--set printable-whites.");
        (carried.Step, carried.WorkPath).ShouldBe((0, null));
        bench.Snapshot().ShouldBe(before);
        Carry("new.png", request => request with { Kind = ArtKind.CutOut, Keep = false }).State.Art.Ground.Kind.ShouldBe(ArtKind.CutOut);
        Carry("new.png").ShouldSatisfyAllConditions(kept => kept.Problems.ShouldBeEmpty(), kept => kept.Step.ShouldBe(1));
    }

    [Fact]
    public void The_last_region_of_only_is_not_dropped_in_silence()
    {
        // Without a number, only means all; the hole would print.
        Draw("old.png", 400, 300);
        bench.Commit("printable-whites", bench.At("old.png"), Bench.Light, "only=1");
        Draw("new.png", 400, 300, belly: false);
        Carry("new.png").Question!.Answers.Open.Select(open => (open.Region.Number, open.Was.Single(), open.Region.Chosen))
            .ShouldBe([(1, 2, true), (2, 3, true)]);
    }

    [Fact]
    public void A_recipe_of_several_steps_takes_values_by_the_number_of_its_step()
    {
        Draw("old.png", 400, 300);
        bench.Commit("printable-whites", bench.At("old.png"), Bench.Light, "only=1");
        bench.Commit("printable-whites", bench.At("old.png"), null, "only=1");
        Draw("new.png", 400, 300);
        Bench.Refused(() => Carry("new.png", request => request with { Sets = ["printable-whites.smallest=1mm2"] })).Code.ShouldBe(Codes.UnknownParameter);
        var carried = Carry("new.png", request => request with { Sets = ["2.printable-whites.smallest=1mm2"], Keep = false });
        carried.Steps.Select(step => step.Result.Report.Parameters["smallest"]).ShouldBe(["0mm2", "1mm2"]);
    }

    [Fact]
    public void A_list_comes_over_as_the_step_that_it_was_kept_as()
    {
        Draw("old.png", 400, 300);
        bench.Write("two.recipes", "recipes-list 1\nclean-background\nprintable-whites except=2\n");
        bench.Commit(bench.At("two.recipes"), bench.At("old.png"), Bench.Light);
        Draw("new.png", 520, 420, 1, 83, 61);
        var report = Carry("new.png", request => request with { RecipesFolder = bench.Folder }).Steps.ShouldHaveSingleItem().Result.Report;
        (report.Recipe.Name, report.Parameters["printable-whites.except"]).ShouldBe(("two", "2"));
        ShouldBeAnswered("new.png", (x, y) => At(x, y, 1, 83, 61));
    }

    [Fact]
    public void Another_source_of_the_recipe_is_told_and_its_numbers_count_only_where_it_gives_the_same()
    {
        const string mine = """
            var except = Param.RegionNumbers("except");
            var islands = Art.Find.PureWhite().Enclosed().Islands();
            var chosen = islands.Pick(island => !except.Contains(island.Number));
            Report.Regions("white", islands, chosen);
            Art.MakePrintable(chosen, layer: "white");
            """;
        Draw("old.png", 400, 300);
        bench.Commit(bench.Write("mine.csx", mine), bench.At("old.png"), Bench.Light, "except=1");
        Draw("new.png", 520, 420, 1, 83, 61);
        bench.Write("mine.csx", mine + "\n// The same in other words.\n");
        ToldBy(Carry("new.png", request => request with { RecipesFolder = bench.Folder, Keep = false })).ShouldBe([Codes.OtherRecipe]);
        bench.Write("mine.csx", mine.Replace("except.Contains(island.Number)", "except.Contains(islands.Count + 1 - island.Number)", StringComparison.Ordinal));
        ToldBy(Carry("new.png", request => request with { RecipesFolder = bench.Folder })).ShouldBe([Codes.OpenAnswers, Codes.OtherRecipe]);

        static IEnumerable<Code> ToldBy(CarriedOver carried) => carried.Problems.Select(problem => problem.Code);
    }

    // Two steps: the whites but for the hole, and a background without its smudge.
    private void KeepOld()
    {
        string old = Draw("old.png", 400, 300);
        bench.Commit("printable-whites", old, Bench.Light, "except=2");
        bench.Commit("clean-background", old, null);
    }

    private CarriedOver Carry(string name, Func<CarryOverRequest, CarryOverRequest>? how = null)
    {
        var request = new CarryOverRequest(bench.At("old.png"), bench.At(name), bench.At("asked")) { Keep = true, By = "morning-shift" };
        return CarryOver.Run(bench.Shop, how?.Invoke(request) ?? request, bench.Workers);
    }

    private string Draw(string name, int width, int height, double scale = 1, int x = 0, int y = 0, bool added = false, bool belly = true) =>
        bench.Draw(name, width, height, (px, py) => ColorOf(At(px, py, scale, x, y, added), belly));

    private static Rgba8 ColorOf(Spot spot, bool belly) => spot switch
    {
        Spot.Ink => new Rgba8(24, 48, 92),
        Spot.Belly when !belly => new Rgba8(24, 48, 92),
        Spot.Smudge => new Rgba8(252, 252, 252),
        _ => Rgba8.White,
    };

    private void ShouldBeAnswered(string name, Func<int, int, Spot> at)
    {
        var flat = bench.Read(bench.At(name)).Flat;
        foreach (int i in Enumerable.Range(0, flat.Width * flat.Height))
        {
            var (x, y) = (i % flat.Width, i / flat.Width);
            var spot = at(x, y);
            var expected = spot switch
            {
                Spot.Belly or Spot.Sail => new Rgba8(254, 254, 254),
                Spot.Hole or Spot.Added => Rgba8.White,
                Spot.Paper or Spot.Smudge => new Rgba8(255, 255, 255, 0),
                _ => new Rgba8(24, 48, 92),
            };
            if (flat[x, y] != expected)
            {
                flat[x, y].ShouldBe(expected, $"{spot} at {x},{y}");
            }
        }
    }

    // The drawing on 400 x 300, asked at the middle of a pixel.
    private static Spot At(int px, int py, double scale = 1, int left = 0, int top = 0, bool added = false)
    {
        double x = (px + 0.5 - left) / scale, y = (py + 0.5 - top) / scale;
        double ring = Math.Sqrt(((x - 230) * (x - 230)) + ((y - 90) * (y - 90))), more = Math.Sqrt(((x - 340) * (x - 340)) + ((y - 70) * (y - 70)));
        return In(50, 50, 130, 110) ? Spot.Belly : In(40, 40, 140, 120) ? Spot.Ink
            : ring < 36 ? Spot.Hole : ring < 50 ? Spot.Ink
            : In(75, 175, 205, 245) ? Spot.Sail : In(60, 160, 220, 260) ? Spot.Ink
            : added && more < 28 ? Spot.Added : added && more < 40 ? Spot.Ink
            : In(290, 200, 350, 250) ? Spot.Smudge : Spot.Paper;

        bool In(double x1, double y1, double x2, double y2) => x >= x1 && x < x2 && y >= y1 && y < y2;
    }
}
