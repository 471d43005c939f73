using System.Collections.Immutable;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Orders;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Problems;

namespace Recipes.Hosting.ManyRuns;

/// <summary>A list of orders that was run.</summary>
/// <param name="List">The list's file.</param>
/// <param name="Orders">Its rows.</param>
/// <param name="Run">What became of them.</param>
/// <param name="Sheet">The tick-off sheet, or null where it couldn't be written.</param>
public sealed record OrdersRun(string List, ImmutableArray<Order> Orders, ManyRun Run, string? Sheet)
{
    /// <summary>Why the sheet couldn't be written.</summary>
    public ImmutableArray<Problem> SheetProblems { get; init; } = [];
}

/// <summary>Runs the rows of a list of orders, all of them checked before anything is written, and writes the sheet to tick them off.</summary>
/// <param name="shop">The shop.</param>
/// <param name="request">How.</param>
/// <param name="workers">Where they run.</param>
public sealed class RunOrders(Shop shop, ManyRunsRequest request, WorkerPool workers)
{
    // What is wrong with a row; the list's own faults have the number 0 and come first.
    private sealed record RowProblem(int Number, Problem Problem);

    /// <summary>Runs them.</summary>
    /// <param name="path">The list's file.</param>
    /// <exception cref="ProblemException">The list or a row is unfit, all of it told at once; a single picture's later fault is in its item.</exception>
    public OrdersRun List(string path)
    {
        var (orders, bad) = OrderList.Read(path);
        string sheet = Path.Combine(request.Folder, Path.GetFileNameWithoutExtension(path) + ".html");
        var works = shop.Progress.During("Checking the rows", () => Checked(orders, bad, path, sheet));
        RunMany.ExpectReaders(workers, works.Select(work => work.Art));
        workers.Expect("run", works.Sum(work => work.Recipes.All.Length));
        var items = RunMany.Make(shop, request, $"Running {Path.GetFileName(path)}", works, workers);
        string seen = Path.GetRelativePath(Path.GetFullPath(request.Folder), Path.GetFullPath(path));
        ImmutableArray<Problem> problems = [];
        try
        {
            var rows = works.Select((work, i) => Row(work, items[i]));
            AtomicFile.Write(sheet, stream => TickOffPage.Write(stream, seen, [.. rows], PngWriter.Encode));
        }
        catch (ProblemException e)
        {
            problems = [.. e.Problems];
        }

        return new OrdersRun(path, orders, ManyRun.Of(shop, items), problems.IsEmpty ? sheet : null) { SheetProblems = problems };
    }

    // Whatever is wrong with one row, the others are looked at, and all is told at once.
    private ToRun[] Checked(IReadOnlyList<Order> orders, IEnumerable<Problem> bad, string list, string sheet)
    {
        var problems = bad.Select(problem => new RowProblem(0, problem)).ToList();
        // A recipe that is refused is refused in every row, and compiled once.
        var named = orders.Select(order => order.Recipe).Where(name => name.Length > 0).Distinct();
        var recipes = named.ToDictionary(name => name, name => new Lazy<ReadyRecipes>(() =>
            shop.Find(new RecipeRequest(name) { Folder = request.RecipesFolder, ToKeep = true }, workers)));
        // With several rows, one row's picture could be another row's original.
        foreach (string original in orders.Select(order => order.Art).Where(art => art.Length > 0).Append(list))
        {
            Originals.Add(original);
        }

        Originals.Refuse(sheet);
        if (!request.Force && File.Exists(sheet) && !TickOffPage.IsOf(sheet, list))
        {
            throw AtomicFile.Exists(sheet);
        }

        ToRun[] works = [.. orders.Select(order => Found(order, recipes, problems)).OfType<ToRun>()];
        var arts = works.GroupBy(work => work.Art).ToList();
        RunMany.ExpectReaders(workers, arts.Select(rows => rows.Key));
        var all = new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = shop.Cancel };
        Parallel.ForEach(arts, all, rows => CheckArt(rows, problems));
        // Sizes that the stock doesn't list are told with the faults, so that the list is mended once; where there are none, each picture's item has them.
        return problems.Count == 0 ? works : throw new ProblemException(
            [.. problems.OrderBy(problem => problem.Number).Select(problem => problem.Problem), .. works.Select(OneOfMany.SizeNotListed).OfType<Problem>()]);
    }

    // Null where the art can't be judged for want of something else.
    private ToRun? Found(Order order, Dictionary<string, Lazy<ReadyRecipes>> known, List<RowProblem> problems)
    {
        ChosenSetup? setup = null;
        ReadyRecipes? recipes = null, found = null;
        bool there = false;
        Check(problems, order, order.Garment is null ? "setup" : "garment", () => setup = ChosenSetup.Find(
            order.Garment is { } garment ? GarmentStock.Find(garment).Name : order.Setup ?? request.SetupName, null).Required());
        // What the list's own faults name already is empty here, and not told twice.
        Check(problems, order, "recipe", () => found = order.Recipe.Length > 0 ? known[order.Recipe].Value : order.FromKept ? ReadyRecipes.None : null);
        Check(problems, order, !order.Sets.IsEmpty ? "set" : order.Place is null ? "recipe" : "place", () =>
        {
            if (found is null || setup is null)
            {
                return;
            }

            var given = found.All.IsEmpty ? found : found.With(SetsOf(order, found));
            given.CheckValues(setup.Setup);
            recipes = given;
        });
        if (order.Art.Length == 0)
        {
            return null;
        }

        Check(problems, order, "output", () =>
        {
            if (order.Stem.Length > 0)
            {
                RunOutput.Of(request.Folder, order.Stem, order.Art).RefuseForeign(request.Force);
            }
        });
        Check(problems, order, "art", () => there = ArtFile.Read(order.Art) is not null);
        return recipes is null || setup is null || !there ? null : new ToRun(order.Art, recipes, setup, order.Stem, order);
    }

    // One art is often in many rows. It is decoded once, and what is wrong with it is wrong in each.
    private void CheckArt(IEnumerable<ToRun> rows, List<RowProblem> problems)
    {
        var first = rows.First();
        var decoded = new Lazy<ArtState>(() => StateOf(first, null));
        foreach (var work in rows)
        {
            Check(problems, work.Order!, work.Order!.FromKept ? "from" : "art", () =>
            {
                using var kept = OneOfMany.KeptOf(shop, work);
                var state = kept is null ? decoded.Value with { Setup = work.Setup.Setup } : StateOf(work, kept);
                OneOfMany.RefuseRepeat(work, state);
                _ = work.Recipes.Values(state);
                // A list's later recipes are shown what the earlier ones leave, under the same setup.
                foreach (var (i, recipe) in work.Recipes.All.Index())
                {
                    if (i == 0)
                    {
                        Expectations.Require(recipe, state);
                    }
                    else
                    {
                        Expectations.RequireSetup(recipe, work.Setup.Setup);
                    }
                }
            });
        }
    }

    private ArtState StateOf(ToRun work, Work.WorkFile? kept) =>
        ArtState.Find(ArtFile.Read(work.Art), kept, work.Setup, kept is null, workers, shop.Cancel);

    private static void Check(List<RowProblem> problems, Order order, string column, Action check)
    {
        try
        {
            check();
        }
        catch (ProblemException e)
        {
            lock (problems)
            {
                // What the compiler says has a line of its own, which the message keeps.
                problems.AddRange(e.Problems.Select(problem => new RowProblem(order.Number, problem with
                {
                    Where = order.PlaceOf(column),
                    Message = $"row {Numeral.Of(order.Number)}, {order.Art}: {problem.Message}{(problem.Where?.Line is null ? "" : $" ({problem.Where})")}",
                })));
            }
        }
    }

    // What a row sets goes before what is set for all. Its place is what its recipe is told; of one that asks for none it stands on the sheet alone.
    private string[] SetsOf(Order order, ReadyRecipes recipes)
    {
        var place = order.Place is { } named ? recipes.Called("place").Select(parameter => $"{parameter}={named}") : [];
        return [.. request.Sets.Where(set => !order.Sets.Any(own => OrderList.NameOf(own) == OrderList.NameOf(set))), .. order.Sets, .. place];
    }

    private static TickOffRow Row(ToRun work, RunItem? item) => new(
        work.Order!, work.Setup.Setup.Name, item?.Small, item?.Output is { } output ? Path.GetFileName(output) : null,
        item?.Findings ?? [], [.. item?.Questions ?? []], item is null ? "It was interrupted." : item.Problems.Count > 0 ? item.Problems[0].Message : null)
    {
        Resolution = item?.Resolution,
        LastBad = item?.LastBad?.WhyInWords(),
        SizeNotListed = OrderedSizes.Warning(work.Setup.Setup.Name, work.Order!.Sizes, null)?.Message,
        Cloth = work.Setup.Setup.Garment,
        Garment = work.Order!.Garment is { } garment ? GarmentStock.Known(garment)?.InWords() : null,
    };
}
