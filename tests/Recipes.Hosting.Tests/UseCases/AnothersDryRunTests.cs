using Recipes.Hosting.Arts;
using Recipes.Hosting.DryRuns;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Tests.Workers;

namespace Recipes.Hosting.Tests.UseCases;

/// <summary>What another tried is drawn again before it is kept, where nobody but this user may look.</summary>
[Collection(nameof(Alone))]
public sealed class AnothersDryRunTests : IDisposable
{
    private const UnixFileMode OwnersFolder = UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute;
    private readonly ShopAlone shop = new();
    private readonly string? temporary = Environment.GetEnvironmentVariable("TMPDIR");

    public void Dispose()
    {
        Environment.SetEnvironmentVariable("TMPDIR", temporary);
        shop.Dispose();
    }

    [Fact]
    public void It_is_drawn_again_in_a_folder_of_ones_own_that_goes()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "There a user's temporary folder is their own.");
        string art = shop.WriteRing("ring.png"), tried = shop.At("ring.dry-run"), again = Directory.CreateDirectory(shop.At("again")).FullName;
        using (var folder = DryRunFolder.Prepare(tried, "dry-run", force: false, art))
        {
            ReadyRun.Find(
                shop.Shop, new TryRequest(new RecipeRequest("printable-whites"), new ArtReference(art) { Setup = Bench.Light }), shop.Workers,
                run => DryRun.Make(shop.Shop, run, folder, new DryRunOptions()));
        }

        // Another home has another key.
        Environment.SetEnvironmentVariable("HOME", shop.At("home/another"));
        Environment.SetEnvironmentVariable("TMPDIR", again);
        var looking = new Looking(() => Directory.GetDirectories(again).Select(folder => OperatingSystem.IsWindows() ? default : File.GetUnixFileMode(folder)));
        var mine = new Shop { Clock = shop.Shop.Clock, Cancel = shop.Shop.Cancel, Progress = looking };
        var request = new KeepDryRunRequest(tried, new KeepOptions("night-shift")) { Here = Directory.GetCurrentDirectory() };
        KeepDryRun.Run(mine, request, DryRunFolder.Read(tried), shop.Workers, (kept, _) => kept.Step).ShouldBe(1);
        looking.Seen.ShouldHaveSingleItem().ShouldBe([OwnersFolder]);
        Directory.GetFileSystemEntries(again).ShouldBeEmpty();
    }

    // Looks at what is there while pictures are drawn.
    private sealed class Looking(Func<IEnumerable<UnixFileMode>> look) : Progress
    {
        public List<UnixFileMode[]> Seen { get; } = [];

        public override T During<T>(string what, Func<T> work)
        {
            if (what == "Drawing the pictures")
            {
                Seen.Add([.. look()]);
            }

            return base.During(what, work);
        }
    }
}
