using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Exports;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Desk;

/// <summary>What is done to an art from the page. Each act opens the work file, acts and closes it, so the command line works meanwhile.</summary>
internal sealed class Bench : IDisposable
{
    private readonly DeskOptions options;
    private readonly ShownArts shown = new();
    private readonly WorkerPool workers = new(WorkerLimits.Default) { HoldsArts = true };

    public Bench(DeskOptions options)
    {
        this.options = options;
        Shelf = new ArtShelf(options.Folders, options.WorkFolder);
    }

    /// <summary>The arts that may be opened.</summary>
    public ArtShelf Shelf { get; }

    /// <summary>The pictures of a token.</summary>
    /// <exception cref="ProblemException">R6402: it was forgotten.</exception>
    public Pictures PicturesOf(string? token) => shown.Find<IShown>(token).Pictures;

    /// <summary>Opens an art: its pixels under a garment setup, what is found in it, and its steps.</summary>
    /// <exception cref="ProblemException">As <see cref="CheckedArt.Look"/>.</exception>
    public ShownState Open(string id, string? setup, bool original)
    {
        var art = Shelf.Find(id);
        // The worker that decodes leaves the art where each try reads it again, and the first try's own worker is warm by then.
        workers.Expect("run", 1);
        return Look(art, new ArtReference(art.Path) { Setup = setup, Original = original });
    }

    /// <summary>Tries a recipe or a list on a state: in memory, and nothing is kept.</summary>
    /// <exception cref="ProblemException">R1, R2 and R4 codes: it can't be found, isn't allowed, or failed.</exception>
    public ShownTry Try(string? token, RecipeRequest recipe, Guardrails guardrails, CancellationToken cancel)
    {
        var of = shown.Find<ShownState>(token);
        var shop = ShopFor(cancel);
        var recipes = shop.Find(recipe, workers);
        workers.Expect("run", recipes.All.Length);
        var run = new ReadyRun(recipes, of.State, recipes.Values(of.State), guardrails, workers);
        return shown.Add(new ShownTry(shown.NewToken(), of, new TryRequest(recipe, of.Reference) { Guardrails = guardrails }, run, run.Run(shop)));
    }

    /// <summary>Keeps exactly what a try showed.</summary>
    /// <exception cref="ProblemException">As <see cref="Hosting.Steps.Keep.Shown"/>; R5 codes a guardrail refused it.</exception>
    public ShownState Keep(string id, string? token, KeepOptions how)
    {
        var tried = shown.Find<ShownTry>(token);
        RequireOf(id, tried.Of);
        var kept = Hosting.Steps.Keep.Shown(ShopFor(), tried.Request, tried.Run, tried.Listed, how);
        return kept.Refusal is { } refusal ? throw new ProblemException(refusal) : Again(tried.Of);
    }

    /// <summary>True where a token is a try's.</summary>
    /// <exception cref="ProblemException">R6402: it was forgotten.</exception>
    public bool IsTry(string? token) => shown.Find<IShown>(token) is ShownTry;

    /// <summary>Looks again at the art of a state that is shown.</summary>
    /// <exception cref="ProblemException">R6002: steps were kept or taken back meanwhile.</exception>
    public ShownState Refresh(string id, string? token) => Same(Shown(id, token));

    /// <summary>A state whose art has a work file, which remembers what is exported: one that is finished as it came gets its first note.</summary>
    public string? WithWorkFile(string id, string? token, string? by)
    {
        var of = Shown(id, token);
        return File.Exists(ShopFor().WorkPathOf(of.Art.Path)) ? token : Note(id, token, "Finished as it came.", by).Token;
    }

    /// <summary>Takes steps back, or the last one that was taken back does again.</summary>
    /// <param name="id">The art.</param>
    /// <param name="token">The state that is shown.</param>
    /// <param name="move">Moves the art's steps under a setup.</param>
    public ShownState Move(string id, string? token, Func<Shop, string, string, StepsMoved> move)
    {
        var of = Shown(id, token);
        // A press takes back what is seen, and not what somebody kept meanwhile.
        RequireStill(of);
        move(ShopFor(), of.Art.Path, of.State.Setup.Name);
        return Again(of);
    }

    /// <summary>Leaves a handover note.</summary>
    public ShownState Note(string id, string? token, string text, string? by)
    {
        var of = Shown(id, token);
        ArtNotes.Leave(ShopFor(), of.Art.Path, text, by);
        return Same(of);
    }

    /// <summary>Writes the state as a picture beside the art.</summary>
    /// <exception cref="ProblemException">As <see cref="Export.Write"/>; R6002 it isn't any more what is shown.</exception>
    public (string Path, string Sha256) Export(string id, string? token, string? stem, string? by)
    {
        var of = Shown(id, token);
        RequireStill(of);
        ProblemException? taken = null;
        foreach (string path in PathsFor(of, stem, ".png"))
        {
            try
            {
                return Hosting.Exports.Export.Write(ShopFor(), new ExportRequest(Named(of), path) { By = by, StateSha256 = of.State.StateSha256 },
                    exported => (path, exported.Sha256));
            }
            catch (ProblemException e) when (e.Problems[0].Code == Codes.OutputExists)
            {
                taken ??= e;
            }
        }

        throw taken!;
    }

    /// <summary>Writes the ticket of the state beside the art.</summary>
    public string Ticket(string id, string? token, string? stem, IReadOnlyCollection<string> fields)
    {
        var of = Shown(id, token);
        RequireStill(of);
        string[] paths = [.. PathsFor(of, stem, "-ticket.html")];
        string path = paths.FirstOrDefault(path => !File.Exists(path) || TicketFile.Is(path, of.Art.Name)) ?? paths[^1];
        return TicketSheet.Write(ShopFor(), new TicketRequest(Named(of), path)
        {
            Fields = TicketField.Read(fields), Force = TicketFile.Is(path, of.Art.Name), StateSha256 = of.State.StateSha256,
        }, _ => path);
    }

    public void Dispose() => workers.Dispose();

    /// <summary>A shop for one act. One that keeps or writes is brought to its end once it was begun, whoever still waits for it: nothing ends it.</summary>
    public Shop ShopFor(CancellationToken cancel = default) =>
        new() { Clock = options.Clock, WorkFolder = options.WorkFolder, Workers = workers, Cancel = cancel };

    private ShownState Look(ShelvedArt art, ArtReference reference) => CheckedArt.Look(ShopFor(), reference, seen =>
    {
        var json = DeskJson.Of(art, seen);
        // The file is closed once this returns, and what was read of it stays.
        var state = seen.State with { Work = null };
        return shown.Add(new ShownState(shown.NewToken(), art, state, json) { Reference = reference });
    });

    private ShownState Again(ShownState of) => Look(of.Art, Named(of) with { Original = false });

    private void RequireStill(ShownState of)
    {
        using var open = OpenArt.Of(ShopFor(), Named(of));
        if (!of.State.IsStill(open))
        {
            throw new ProblemException(Codes.ArtChanged,
                $"{of.Art.Name} isn't any more what is shown: something was kept or taken back, or the garment setup was changed meanwhile.",
                "Look at it as it is now.", new Place(of.Art.Path));
        }
    }

    // The page goes on with the picture that it has.
    private ShownState Same(ShownState of)
    {
        var again = Again(of);
        again.State.RequireSeen(of.State.StateSha256);
        return again;
    }

    private ShownState Shown(string id, string? token)
    {
        var of = shown.Find<ShownState>(token);
        RequireOf(id, of);
        return of;
    }

    private static void RequireOf(string id, ShownState of)
    {
        if (of.Art.Id != id)
        {
            throw new ProblemException(Codes.BadUsage, "What is shown is another art.", "Open the art again.");
        }
    }

    private static ArtReference Named(ShownState of) => of.Reference with { Setup = of.State.SetupIsFallback ? null : of.State.Setup.Name };

    // Named for the setup too, since another garment's export is another print; by its whole name where another art has the stem already.
    private static IEnumerable<string> PathsFor(ShownState of, string? stem, string ending)
    {
        string folder = Path.GetDirectoryName(of.Art.Path)!;
        string[] names = stem is null ? [Path.GetFileNameWithoutExtension(of.Art.Path), of.Art.Name] : [stem];
        return names.Select(name => Path.Combine(folder, $"{name}-{of.State.Setup.Name}{ending}"));
    }
}
