using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Tests.UseCases;
using Recipes.Jail;

namespace Recipes.Hosting.Tests.Workers;

/// <summary>The worker as it is, and not a stand-in: under what its recipe runs.</summary>
[Collection(nameof(Alone))]
public sealed class RunWorkerTests : IDisposable
{
    private readonly ShopAlone shop = new();

    public void Dispose() => shop.Dispose();

    // proc_pid_status(5) counts the filters of a process (Linux 5.9): those of this one, the coarse, the strict, and the one that is set once the recipe is
    // loaded. This one never ends, so that there is time to look.
    [Fact]
    public void A_recipe_runs_under_the_last_filter()
    {
        Assert.SkipUnless(JailSupport.CanConfine && Filters("self") is not null, "needs a system that can confine, and tells of filters");
        string ring = shop.WriteRing("ring.png");
        shop.Write("mine.csx", "Recipe.Title(\"Mine\");\nRecipe.Purpose(\"Never ends.\");\nwhile (true) { }\n");
        using var enough = new CancellationTokenSource();
        var mine = new Shop { Clock = shop.Shop.Clock, Cancel = enough.Token };
        var request = new TryRequest(new RecipeRequest(shop.At("mine.csx")), new ArtReference(ring) { Setup = Bench.Light });
        var running = Task.Run(() => ReadyRun.Find(mine, request, shop.Workers, run => run.Run(mine)), TestContext.Current.CancellationToken);
        bool seen = SpinWait.SpinUntil(() => running.IsCompleted || Runs().Contains(Filters("self") + 3), TimeSpan.FromMinutes(2));
        enough.Cancel();
        Should.Throw<OperationCanceledException>(() => running.GetAwaiter().GetResult());
        seen.ShouldBeTrue("no worker had three filters of its own");
    }

    // The filters of each child of any thread of this process that is there to run a recipe.
    private static IEnumerable<int?> Runs() => Directory.GetDirectories("/proc/self/task")
        .SelectMany(task => Told(Path.Combine(task, "children")).Split(' ', StringSplitOptions.RemoveEmptyEntries))
        .Where(child => Told($"/proc/{child}/cmdline").Contains("recipes-worker.dll\0run\0", StringComparison.Ordinal))
        .Select(Filters);

    private static int? Filters(string process) => Told($"/proc/{process}/status").Split('\n')
        .FirstOrDefault(line => line.StartsWith("Seccomp_filters:", StringComparison.Ordinal)) is { } line
            ? int.Parse(line.AsSpan(line.IndexOf(':', StringComparison.Ordinal) + 1), NumberStyles.AllowLeadingWhite, CultureInfo.InvariantCulture) : null;

    // One that has gone meanwhile tells nothing.
    private static string Told(string path)
    {
        try
        {
            return File.ReadAllText(path);
        }
        catch (Exception gone) when (gone is IOException or UnauthorizedAccessException)
        {
            return "";
        }
    }
}
