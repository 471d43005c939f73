using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Orders;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Cli.Commands;

/// <summary>The rows of a list of orders, all of them checked before anything is written, and the sheet to tick them off.</summary>
internal sealed partial class ManyRuns
{
    /// <summary>Every row is checked, its art decoded, before anything is written.</summary>
    public Outcome List(string path)
    {
        var (orders, bad) = OrderList.Read(path);
        string sheet = Path.Combine(folder, Path.GetFileNameWithoutExtension(path) + ".html");
        var works = session.Progress.During("Checking the rows", () => Checked(orders, bad, path, sheet));
        Expect([.. works.Select(work => work.Art)]);
        var items = Make($"Running {Path.GetFileName(path)}", works);
        string seen = Path.GetRelativePath(Path.GetFullPath(folder), Path.GetFullPath(path));
        var problems = new List<Problem>();
        try
        {
            var rows = works.Select((work, i) => Row(work, items[i]));
            AtomicFile.Write(sheet, stream => TickOffPage.Write(stream, seen, [.. rows], PngWriter.Encode));
        }
        catch (ProblemException e)
        {
            problems.AddRange(e.Problems);
        }

        var fields = new JsonObject
        {
            ["list"] = new JsonObject { ["path"] = path, ["rows"] = orders.Length, ["pieces"] = orders.Sum(order => (long)order.Quantity) },
            ["outputs"] = new JsonObject { ["sheet"] = problems.Count == 0 ? sheet : null },
        };
        return Tell(fields, items, problems.Count == 0 ? sheet : null, problems);
    }

    // What is wrong with a row; the list's own faults have the number 0 and come first.
    private sealed record RowProblem(int Number, Problem Problem);

    // Whatever is wrong with one row, the others are looked at, and all is told at once.
    private Work[] Checked(IReadOnlyList<Order> orders, IEnumerable<Problem> bad, string list, string sheet)
    {
        var problems = bad.Select(problem => new RowProblem(0, problem)).ToList();
        // A recipe that is refused is refused in every row, and compiled once.
        var recipes = orders.Select(order => order.Recipe).Distinct().ToDictionary(
            name => name, name => new Lazy<ReadyRecipe>(() => session.FindRecipeToKeep(name, session.Parse.GetValue(job.RecipesFolder), workers)));
        // With several rows, one row's picture could be another row's original.
        foreach (string original in orders.Select(order => order.Art).Append(list))
        {
            Originals.Add(original);
        }

        Originals.Refuse(sheet);
        if (!force && File.Exists(sheet) && !TickOffPage.IsOf(sheet, list))
        {
            throw AtomicFile.Exists(sheet);
        }

        Work[] works = [.. orders.Select(order => Found(order, recipes, problems)).OfType<Work>()];
        var arts = works.GroupBy(work => work.Art).ToList();
        ExpectReaders(arts.Select(rows => rows.Key));
        var all = new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = session.Cancel };
        Parallel.ForEach(arts, all, rows => CheckArt(rows, problems));
        return problems.Count == 0 ? works : throw new ProblemException([.. problems.OrderBy(problem => problem.Number).Select(problem => problem.Problem)]);
    }

    // Null where the art can't be judged for want of something else.
    private Work? Found(Order order, Dictionary<string, Lazy<ReadyRecipe>> recipes, List<RowProblem> problems)
    {
        ChosenSetup? setup = null;
        ReadyRecipe? recipe = null, found = null;
        bool there = false;
        Check(problems, order, order.Garment is null ? "setup" : "garment", () => setup = ChosenSetup.Find(
            order.Garment is { } garment ? GarmentStock.Find(garment).Name : order.Setup ?? session.Setup(job.Setup), null).Required());
        Check(problems, order, "recipe", () => found = recipes[order.Recipe].Value);
        Check(problems, order, !order.Sets.IsEmpty ? "set" : order.Place is null ? "recipe" : "place", () =>
        {
            if (found is not null && setup is { Setup: var garment })
            {
                ParameterValues.Resolve(found.Spec, SetsOf(order, found), garment.PixelsPerInch, garment);
            }

            recipe = found;
        });
        Check(problems, order, "output", () =>
        {
            var (picture, record) = FilesOf(order.Stem);
            RefuseForeignOutput(order.Art, picture, record);
        });
        Check(problems, order, "art", () => there = ArtFile.Read(order.Art) is not null);
        return recipe is null || setup is null || !there ? null : new Work(order.Art, recipe, setup, order.Stem, order);
    }

    // One art is often in many rows. It is decoded once, and what is wrong with it is wrong in each.
    private void CheckArt(IEnumerable<Work> rows, List<RowProblem> problems)
    {
        var first = rows.First();
        var decoded = new Lazy<ArtState>(() => StateOf(first, ArtFile.Read(first.Art), null));
        foreach (var work in rows)
        {
            Check(problems, work.Order!, work.Order!.FromKept ? "from" : "art", () =>
            {
                using var kept = KeptOf(work);
                var state = kept is null ? decoded.Value with { Setup = work.Setup.Setup } : StateOf(work, ArtFile.Read(work.Art), kept);
                RefuseRepeat(work, state);
                ParameterValues.Resolve(work.Recipe.Spec, SetsOf(work.Order, work.Recipe), work.Setup.Setup.ResolutionFor(state.Art), work.Setup.Setup);
                Expectations.Require(work.Recipe, state);
            });
        }
    }

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
    private string[] SetsOf(Order? order, ReadyRecipe recipe)
    {
        if (order is null)
        {
            return sets;
        }

        string[] place = order.Place is { } named && recipe.Spec.Parameters.Any(parameter => parameter.Name == "place") ? [$"place={named}"] : [];
        return [.. sets.Where(set => !order.Sets.Any(own => OrderList.NameOf(own) == OrderList.NameOf(set))), .. order.Sets, .. place];
    }

    private static TickOffRow Row(Work work, Item? item) => new(work.Order!, work.Setup.Setup.Name, item?.Small, item?.Output is { } output ? Path.GetFileName(output) : null,
        item?.Findings ?? [], item?.Questions ?? [], item is null ? "It was interrupted." : item.Problems.Count > 0 ? item.Problems[0].Message : null)
    {
        Resolution = item?.Resolution,
        LastBad = item?.LastBad?.WhyInWords(),
        Cloth = work.Setup.Setup.Garment,
        Garment = work.Order!.Garment is { } garment ? GarmentStock.Known(garment)?.InWords() : null,
    };
}
