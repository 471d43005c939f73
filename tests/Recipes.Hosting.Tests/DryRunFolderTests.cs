using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tests.Pages;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tests;

/// <summary>What of an earlier dry run may be replaced: only that of the same art (the contract's exit code 9).</summary>
public sealed class DryRunFolderTests : IDisposable
{
    private readonly string root = Directory.CreateTempSubdirectory("recipes-dry-run-").FullName;

    public void Dispose() => Directory.Delete(root, recursive: true);

    // However a command ends, it disposes of the folder; an interruption is one way.
    [Fact]
    public void A_folder_that_was_made_and_holds_nothing_is_taken_back()
    {
        string png = Path.Combine(root, "art.png"), kept = Path.Combine(root, "kept"), made = Path.Combine(root, "tries", "art.dry-run");
        File.WriteAllText(png, "art");
        DryRunFolder.Prepare(made, "dry-run", force: false, png).Dispose();
        DryRunFolder.Prepare(made + "/", "dry-run", force: false, png).Dispose();
        Directory.GetFileSystemEntries(root).ShouldBe([png]);

        // What was there before stays, and so does what something was written into.
        Directory.CreateDirectory(kept);
        DryRunFolder.Prepare(kept, "dry-run", force: false, png).Dispose();
        using (var written = DryRunFolder.Prepare(made, "dry-run", force: false, png))
        {
            File.WriteAllText(written["after.png"], "pictures");
        }

        Directory.Exists(kept).ShouldBeTrue();
        File.ReadAllText(Path.Combine(made, "after.png")).ShouldBe("pictures");
    }

    [Fact]
    public void A_drawing_that_is_canceled_leaves_the_earlier_one()
    {
        string png = Path.Combine(root, "art.png");
        File.WriteAllText(png, "art");
        var (before, after) = HarborArt.Draw(64, 48, black: false);
        var result = new RunResult(Artwork.FromPixels(before), Artwork.FromPixels(after), HarborArt.Report(before, after, SetupStore.Shipped[0]));
        using var folder = DryRunFolder.Prepare(Path.Combine(root, "art.dry-run"), "dry-run", force: false, png);
        File.WriteAllText(folder["report.json"], "earlier");
        Should.Throw<OperationCanceledException>(() => folder.Draw(result, cancel: new CancellationToken(canceled: true)));
        Directory.GetFiles(folder.Folder).ShouldBe([folder["report.json"]]);
        folder.Draw(result, cancel: TestContext.Current.CancellationToken);
        Directory.GetFiles(folder.Folder).Select(Path.GetFileName).ShouldBe(["after.png", "before.png", "diff.png", "report.html"], ignoreOrder: true);
    }

    // Sparse files of zeros, so that all of them have one hash; the largest that a work file takes, and one byte more.
    [Theory]
    [InlineData(0, true)]
    [InlineData(1, false)]
    public void No_more_of_a_picture_is_hashed_than_a_work_file_takes(int more, bool same)
    {
        string png = Path.Combine(root, "art.png");
        File.WriteAllText(png, "art");
        var answer = new JsonObject { ["command"] = "dry-run" };
        foreach (string name in (string[])["own", "again"])
        {
            using var folder = DryRunFolder.Prepare(Path.Combine(root, name), "dry-run", force: false, png);
            Array.ForEach((string[])["after.png", "diff.png", "report.html"], file => File.WriteAllText(folder[file], file));
            using var large = File.Create(folder["before.png"]);
            large.SetLength(WorkFile.LargestOriginal + more);
            folder.Complete(answer);
        }

        DryRunFolder.Difference(Path.Combine(root, "own"), answer, Path.Combine(root, "again")).ShouldBe(same ? null : "before.png");
    }

    // An object, a list and what is in it: two more than the numbers.
    [Theory]
    [InlineData(-2, true)]
    [InlineData(-1, false)]
    public void A_report_that_nothing_could_read_again_is_not_written(int more, bool fits)
    {
        string png = Path.Combine(root, "art.png");
        File.WriteAllText(png, "art");
        var (before, after) = HarborArt.Draw(64, 48, black: false);
        using var folder = DryRunFolder.Prepare(Path.Combine(root, "art.dry-run"), "dry-run", force: false, png);
        folder.Draw(
            new RunResult(Artwork.FromPixels(before), Artwork.FromPixels(after), HarborArt.Report(before, after, SetupStore.Shipped[0])),
            cancel: TestContext.Current.CancellationToken);
        var numbers = new JsonArray();
        for (int i = 0; i < OutsideJson.MostValues + more; i++)
        {
            numbers.Add((JsonNode)1);
        }

        var answer = new JsonObject { ["regions"] = numbers };
        if (fits)
        {
            folder.Complete(answer);
            (OutsideJson.ReadFile(folder["report.json"], long.MaxValue) is null).ShouldBeFalse();
            return;
        }

        Should.Throw<ProblemException>(() => folder.Complete(answer)).Problems[0].Code.ShouldBe(Codes.OutputUnwritable);
        Directory.GetFiles(folder.Folder).ShouldBeEmpty();
    }

    [Fact]
    public void Art_of_the_same_stem_does_not_replace_the_dry_run_of_another()
    {
        string png = Path.Combine(root, "art.png"), jpg = Path.Combine(root, "art.jpg"), folder = Path.Combine(root, "art.dry-run");
        foreach (string file in (string[])[png, jpg])
        {
            File.WriteAllText(file, "art");
        }

        var written = DryRunFolder.Prepare(folder, "dry-run", force: false, png);
        File.WriteAllText(written["report.json"], new JsonObject { ["command"] = "dry-run", ["inputs"] = new JsonObject { ["art"] = written.Seen(png) } }.ToJsonString());
        File.WriteAllText(written["after.png"], "pictures");

        DryRunFolder.Prepare(folder, "dry-run", force: false, png).Folder.ShouldBe(folder);
        var refused = Should.Throw<ProblemException>(() => DryRunFolder.Prepare(folder, "dry-run", force: false, jpg)).Problems[0];
        refused.Code.Exit.ShouldBe(ExitCode.Output);
        refused.Code.Id.ShouldBe("R8001");
        File.ReadAllText(written["after.png"]).ShouldBe("pictures");
        Should.Throw<ProblemException>(() => DryRunFolder.Prepare(folder, "compare", force: false, png));
        DryRunFolder.Prepare(folder, "dry-run", force: true, jpg).Folder.ShouldBe(folder);

        // A half-written one names no art.
        File.Delete(written["report.json"]);
        Should.Throw<ProblemException>(() => DryRunFolder.Prepare(folder, "dry-run", force: false, png));
    }
}
