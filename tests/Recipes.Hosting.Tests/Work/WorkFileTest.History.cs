using CsCheck;
using Recipes.Files;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tests.Work;

public sealed partial class WorkFileTest : IDisposable
{
    private readonly string folder = Sample.Folder();

    private string FilePath => Path.Combine(folder, "harbor-run.png.work");

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Lies_beside_the_art_or_in_the_folder_for_work_files()
    {
        WorkPath.Of(Path.Combine("in", "art.png"), null).ShouldBe(Path.Combine("in", "art.png.work"));
        WorkPath.Of(Path.Combine("in", "art.png"), "work").ShouldBe(Path.Combine("work", "art.png.work"));
    }

    [Fact]
    public void Is_null_where_there_is_none() => WorkFile.Open(FilePath).ShouldBeNull();

    [Fact]
    public void Gives_the_original_back()
    {
        var art = Sample.Noise(1);
        WorkFile.Create(FilePath, Sample.Original, art).Dispose();
        using var work = Sample.Reopen(FilePath);
        work.ReadOriginalBytes().ShouldBe(Sample.Original.Bytes);
        // sha256sum of the same 5000 bytes, Python's hashlib: hashlib.sha256(bytes(i*7%256 for i in range(5000))).hexdigest()
        work.Original.Sha256.ShouldBe("b0abe1fc3221488396cb845b73dad2a0838923837dfd67247b06e596fff3f2c3");
        (work.Original.Name, work.Original.Format, work.Original.Width, work.Original.Height, work.Original.PixelsPerInch)
            .ShouldBe(("harbor-run.png", "PNG, 8-bit RGBA", 300, 200, null));
        work.Original.Notes.ShouldBe(["turned upright"]);
        work.LastSetup.ShouldBeNull();
        work.Setups.ShouldBeEmpty();
        work.Read("any", 0).ShouldLookLike(art);
        File.GetAttributes(FilePath).HasFlag(FileAttributes.Directory).ShouldBeFalse();
        Directory.GetFileSystemEntries(folder).ShouldBe([FilePath]);
    }

    [Fact]
    public void Any_artwork_comes_back_as_it_was() => Gen.Select(Sample.Artworks, Sample.Artworks).Holds((first, second) =>
    {
        string path = Path.Combine(folder, Path.GetRandomFileName());
        using (var work = WorkFile.Create(path, Sample.Original, first))
        {
            work.Commit("a", 0, Sample.Record(), second);
        }

        using var again = Sample.Reopen(path);
        again.Read("a", 0).ShouldLookLike(first);
        again.Read("a", 1).ShouldLookLike(second);
    }, iter: 40);

    [Fact]
    public void A_step_keeps_what_the_commit_wrote_down()
    {
        using (var work = WorkFile.Create(FilePath, Sample.Original, Sample.Noise(0)))
        {
            work.Commit("black-garment", 0, Sample.Record(), Sample.Noise(1)).ShouldBe(1);
            work.Commit("black-garment", 1, Sample.Record(by: null), Sample.Noise(2)).ShouldBe(2);
        }

        using var again = Sample.Reopen(FilePath);
        var line = again.Line("black-garment");
        line.Head.ShouldBe(2);
        line.Steps.Select(step => (step.Number, step.Parent, step.State)).ShouldBe([(1, 0, StepState.Done), (2, 1, StepState.Done)]);
        var expected = Sample.Record();
        var record = line.Steps[0].Record;
        record.Parameters.ShouldBe(expected.Parameters);
        (record with { Parameters = expected.Parameters }).ShouldBe(expected);
        record.At.Offset.ShouldBe(TimeSpan.FromHours(2));
        line.Steps[1].Record.By.ShouldBeNull();
    }

    [Fact]
    public void Undo_and_redo_walk_the_line()
    {
        using var work = WorkFile.Create(FilePath, Sample.Original, Sample.Noise(0));
        for (int n = 1; n <= 3; n++)
        {
            work.Commit("a", n - 1, Sample.Record(), Sample.Noise(n));
        }

        var move = work.Undo("a");
        (move.From, move.To).ShouldBe((3, 2));
        States(work).ShouldBe([StepState.Done, StepState.Done, StepState.Undone]);
        move = work.Undo("a", 0);
        (move.From, move.To).ShouldBe((2, 0));
        States(work).ShouldBe([StepState.Undone, StepState.Undone, StepState.Undone]);
        for (int n = 1; n <= 3; n++)
        {
            move = work.Redo("a");
            (move.From, move.To).ShouldBe((n - 1, n));
        }

        using var again = Sample.Reopen(FilePath);
        again.Line("a").Head.ShouldBe(3);
        for (int n = 0; n <= 3; n++)
        {
            again.Read("a", n).ShouldLookLike(Sample.Noise(n));
        }
    }

    [Fact]
    public void A_commit_after_an_undo_abandons_what_was_ahead()
    {
        using var work = WorkFile.Create(FilePath, Sample.Original, Sample.Noise(0));
        for (int n = 1; n <= 3; n++)
        {
            work.Commit("a", n - 1, Sample.Record(), Sample.Noise(n));
        }

        work.Undo("a", 1);
        work.Commit("a", 1, Sample.Record("swap-color"), Sample.Noise(4)).ShouldBe(4);
        var line = work.Line("a");
        line.Steps.Select(step => (step.Number, step.Parent, step.State)).ShouldBe(
            [(1, 0, StepState.Done), (2, 1, StepState.Abandoned), (3, 2, StepState.Abandoned), (4, 1, StepState.Done)]);
        Should.Throw<ProblemException>(() => work.Redo("a")).Problems[0].Code.ShouldBe(Codes.NothingToRedo);
        work.Undo("a").To.ShouldBe(1);
        work.Redo("a").To.ShouldBe(4);
        work.Read("a", 3).ShouldLookLike(Sample.Noise(3));
    }

    [Fact]
    public void Undo_goes_only_where_the_current_step_comes_from()
    {
        using var work = WorkFile.Create(FilePath, Sample.Original, Sample.Noise(0));
        Stop(() => work.Undo("a"), Codes.NothingToUndo);
        Stop(() => work.Redo("a"), Codes.NothingToRedo);
        work.Commit("a", 0, Sample.Record(), Sample.Noise(1));
        work.Commit("a", 1, Sample.Record(), Sample.Noise(2));
        work.Undo("a");
        work.Commit("a", 1, Sample.Record(), Sample.Noise(3));
        Stop(() => work.Undo("a", 2), Codes.UnknownStep);
        Stop(() => work.Undo("a", 9), Codes.UnknownStep);
        Stop(() => work.Undo("a", -1), Codes.UnknownStep);
        Stop(() => work.Undo("a", 3), Codes.NothingToUndo);
        Stop(() => work.Read("a", 9), Codes.UnknownStep);
        work.Line("a").Head.ShouldBe(3);
    }

    [Fact]
    public void Lines_of_two_setups_are_independent()
    {
        using var work = WorkFile.Create(FilePath, Sample.Original, Sample.Noise(0));
        work.Commit("light-garment", 0, Sample.Record(), Sample.Noise(1));
        work.Commit("black-garment", 0, Sample.Record(), Sample.Noise(2));
        work.Commit("black-garment", 1, Sample.Record(), Sample.Noise(3));
        work.LastSetup.ShouldBe("black-garment");
        work.Undo("light-garment");
        work.LastSetup.ShouldBe("light-garment");
        work.Setups.ShouldBe(["black-garment", "light-garment"]);
        (work.Line("light-garment").Head, work.Line("black-garment").Head).ShouldBe((0, 2));
        work.Read("black-garment", 1).ShouldLookLike(Sample.Noise(2));
        work.Read("light-garment", 1).ShouldLookLike(Sample.Noise(1));
    }

    [Fact]
    public void Undo_names_the_exports_that_it_outdates()
    {
        using var work = WorkFile.Create(FilePath, Sample.Original, Sample.Noise(0));
        work.Commit("a", 0, Sample.Record(), Sample.Noise(1));
        var first = new ExportRecord("print.png", new string('1', 64), 1, Sample.Noon);
        var layers = new ExportRecord("print.ora", new string('2', 64), 1, Sample.Noon);
        work.RecordExport("a", first);
        work.RecordExport("a", layers);
        work.Commit("a", 1, Sample.Record(), Sample.Noise(2));
        work.Undo("a").Outdated.ShouldBeEmpty();
        work.Redo("a");
        var second = first with { Step = 2, Sha256 = new string('3', 64) };
        work.RecordExport("a", second);
        work.Line("a").Exports.ShouldBe([layers, second]);
        work.Undo("a").Outdated.ShouldBe([second]);
        work.Redo("a").Outdated.ShouldBe([layers]);
        Stop(() => work.RecordExport("a", first with { Step = 3 }), Codes.UnknownStep);
    }

    [Fact]
    public void What_two_steps_have_in_common_is_the_same_object()
    {
        var art = Sample.Noise(0, 400, 300);
        var covered = art.WithLayer(Layer.Replace("printable whites", LayerIntent.MakePrintable,
            Plane<Rgba8>.OneValue(400, 300, new Rgba8(254, 254, 254)), Sample.Noise(3, 400, 300).Layers[0].Pixels.Map()));
        var edited = Sample.Edited(covered, new Box(10, 10, 20, 20), Rgba8.Black);
        using (var work = WorkFile.Create(FilePath, Sample.Original, art))
        {
            work.Commit("a", 0, Sample.Record(), covered);
            work.Commit("a", 1, Sample.Record(), edited);
            // The writer gives back what it was handed.
            work.Read("a", 2).ShouldBeSameAs(edited);
        }

        using var again = Sample.Reopen(FilePath);
        Artwork zero = again.Read("a", 0), one = again.Read("a", 1), two = again.Read("a", 2);
        again.Read("a", 1).ShouldBeSameAs(one);
        one.Layers[0].ShouldBeSameAs(zero.Layers[0]);
        two.Layers[1].ShouldBeSameAs(one.Layers[1]);
        var same = two.Layers[0].Pixels.Tiles.Zip(one.Layers[0].Pixels.Tiles, ReferenceEquals).ToArray();
        // The edit lies in the first of 4 x 3 tiles.
        same.ShouldBe([false, .. Enumerable.Repeat(true, 11)]);
        ArtworkDiff.Between(one.Flat, two.Flat).Box.ShouldBe(ArtworkDiff.Between(covered.Flat, edited.Flat).Box);
    }

    [Fact]
    public void An_undo_survives_a_change_of_size()
    {
        using (var work = WorkFile.Create(FilePath, Sample.Original, Sample.Noise(0)))
        {
            work.Commit("a", 0, Sample.Record("fit-to-platen"), Sample.Noise(1, 150, 77));
            work.Undo("a");
        }

        using var again = Sample.Reopen(FilePath);
        again.Read("a", again.Line("a").Head).ShouldLookLike(Sample.Noise(0));
        again.Read("a", 1).ShouldLookLike(Sample.Noise(1, 150, 77));
    }

    [Fact]
    public void Twenty_local_edits_add_what_changed_and_not_copies()
    {
        const int Width = 4200, Height = 4800;
        // Soft noise that compresses like a photograph.
        var art = Artwork.FromPixels(Plane<Rgba8>.Build(Width, Height, null, (bounds, samples) =>
        {
            var random = new Random(bounds.X + (bounds.Y * Width));
            for (int i = 0; i < samples.Length; i++)
            {
                int x = bounds.X + (i % bounds.Width), y = bounds.Y + (i / bounds.Width), n = random.Next(8);
                samples[i] = new Rgba8((byte)((x / 20) + n), (byte)((y / 20) + n), (byte)(((x + y) / 40) + n));
            }
        }), 300);
        WorkFile.Create(FilePath, Sample.Original, art).Dispose();
        long copy = new FileInfo(FilePath).Length;
        using (var work = Sample.Reopen(FilePath, forWriting: true))
        {
            var state = work.Read("a", 0);
            for (int n = 0; n < 20; n++)
            {
                // 200 x 200 px somewhere: at most nine of 1254 tiles.
                state = Sample.Edited(state, new Box(137 * n, 211 * n, 200, 200), new Rgba8(200, (byte)n, 0));
                work.Commit("a", n, Sample.Record(), state);
            }
        }

        long added = new FileInfo(FilePath).Length - copy;
        added.ShouldBeLessThan(copy * 15 / 100);
        added.ShouldBeGreaterThan(0);
        TestContext.Current.SendDiagnosticMessage($"a copy {copy}, twenty steps {added} bytes");
    }

    private static StepState[] States(WorkFile work) => [.. work.Line("a").Steps.Select(step => step.State)];

    private static void Stop(Action action, Code code) => action.ShouldStopWith(code);
}

internal static class PlaneToCoverage
{
    public static Plane<byte> Map(this Plane<Rgba8> plane) => Plane<byte>.FromContiguous(plane.Width, plane.Height, plane.ToContiguous().Select(p => p.R).ToArray());
}
