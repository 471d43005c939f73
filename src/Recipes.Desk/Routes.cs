using System.Globalization;
using System.Text.Json.Nodes;
using Microsoft.AspNetCore.Http.Features;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Steps;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Desk;

/// <summary>What the page can ask for: its files for everybody, and the rest for who holds a key. docs/design/desk.md lists them.</summary>
internal sealed class Routes
{
    private const int MostArts = 500, MostTiles = 4096, MostValues = 200, LongestText = 4000;

    private readonly Bench bench;
    private readonly DeskOptions options;
    private readonly OrderTable orders;
    private readonly Tabs tabs = new();

    private Routes(Bench bench, DeskOptions options) => (this.bench, this.options, orders) = (bench, options, new OrderTable(bench));

    /// <summary>Maps all of them.</summary>
    public static void Map(WebApplication app, Bench bench, Door door, DeskOptions options)
    {
        var routes = new Routes(bench, options);
        app.MapGet("/", context => Page(context, "index.html"));
        app.MapGet("/page/{name}", context => Page(context, Route(context, "name")));
        app.MapPost("/api/session", Told(async context => Session(door, await Answer.Read(context.Request).ConfigureAwait(false))));
        app.MapPost("/api/start", Told(async context => Start(door, await Answer.Read(context.Request).ConfigureAwait(false))));
        app.MapPost("/api/code", Told(_ => Task.FromResult(new JsonObject { ["code"] = door.NewCode() })));
        app.MapGet("/api/shop", Told(_ => Task.FromResult(routes.Known())));
        app.MapGet("/api/recipe", Told(context => Task.FromResult(routes.Recipe(context))));
        app.MapGet("/api/arts", Told(context => Task.FromResult(routes.Arts(context.Request.Query["search"].ToString()))));
        app.MapPut("/api/arts/{folder:int}/{name}", Told(routes.Drop));
        app.MapGet("/api/orders", Told(context => Task.FromResult(new JsonObject { ["orders"] = routes.orders.Rows(context.RequestAborted) })));
        app.MapPost("/api/arts/{id}/tiles", routes.Tiles);
        app.MapPost("/api/arts/{id}/try", routes.Try);
        foreach (var (name, act) in routes.Acts())
        {
            app.MapPost($"/api/arts/{{id}}/{name}", Told(async context =>
            {
                var ask = await Answer.Read(context.Request).ConfigureAwait(false);
                return await Task.Run(() => act(Route(context, "id"), ask)).ConfigureAwait(false);
            }));
        }
    }

    // What is done to an art; all but a written file leave it in another state, which the page is told whole.
    private Dictionary<string, Func<string, JsonObject, JsonObject>> Acts()
    {
        return new()
        {
            ["open"] = (id, ask) => DeskJson.Of(bench.Open(id, Setup(ask), ask.Says("original"))),
            ["keep"] = (id, ask) => DeskJson.Of(bench.Keep(id, Word(ask, "token"), How(ask))),
            ["undo"] = (id, ask) => Moved(id, ask, (shop, path, setup) => MoveSteps.Undo(shop, path, setup, Number(ask, "to"), By(ask))),
            ["redo"] = (id, ask) => Moved(id, ask, (shop, path, setup) => MoveSteps.Redo(shop, path, setup, By(ask))),
            ["note"] = (id, ask) => DeskJson.Of(bench.Note(id, Word(ask, "of"), Word(ask, "text") ?? "", By(ask))),
            ["export"] = Export,
            ["finish"] = Finish,
        };

        JsonObject Moved(string id, JsonObject ask, Func<Shop, string, string, StepsMoved> move) => DeskJson.Of(bench.Move(id, Word(ask, "of"), move));
    }

    private static RequestDelegate Told(Func<HttpContext, Task<JsonObject>> answer) =>
        async context => await Answer.Write(context.Response, await answer(context).ConfigureAwait(false)).ConfigureAwait(false);

    private static async Task Page(HttpContext context, string name)
    {
        if (PageFiles.Find(name) is not { } file)
        {
            context.Response.StatusCode = StatusCodes.Status404NotFound;
            return;
        }

        context.Response.ContentType = file.Type;
        await context.Response.Body.WriteAsync(file.Bytes).ConfigureAwait(false);
    }

    private static JsonObject Session(Door door, JsonObject ask) => door.KeyFor(Word(ask, "code") ?? "") is { } key ? new JsonObject { ["key"] = key }
        : throw new ProblemException(
            Codes.DeskLinkUsed, "This link was used already, or is of a desk that has ended.", "Start the desk again, or open its newest link.");

    private static JsonObject Start(Door door, JsonObject ask) =>
        door.CodeForStart(Word(ask, "nonce") ?? "", Word(ask, "proof") ?? "") is not { } given
            ? throw new ProblemException(Codes.DeskLinkUsed, "This isn't the user whose desk it is.", "Start a desk of your own.")
            : new JsonObject { ["code"] = given.Code, ["proof"] = given.Proof };

    private JsonObject Known()
    {
        var known = KnownRecipes.Find(null);
        return new JsonObject
        {
            ["version"] = typeof(Routes).Assembly.GetName().Version!.ToString(3),
            ["by"] = options.By ?? Settings.Read().By,
            ["folders"] = new JsonArray([.. bench.Shelf.Folders.Select((folder, i) => new JsonObject
            {
                ["id"] = i, ["name"] = Path.GetFileName(Path.TrimEndingDirectorySeparator(folder)), ["path"] = folder,
            })]),
            ["chosenSetup"] = Settings.Read().Setup,
            ["setups"] = new JsonArray([.. SetupStore.All().Values.Select(entry => SetupJson.ToJson(entry.Setup))]),
            ["garments"] = new JsonArray([.. GarmentStock.All().Values.Select(GarmentStock.ToJson)]),
            ["places"] = new JsonArray([.. PrintPlace.All.Select(place => place.Name).Distinct().Select(name => (JsonNode)name)]),
            ["recipes"] = new JsonArray(
            [
                .. known.Lists.Select(list => new JsonObject { ["name"] = list.Name, ["title"] = RecipeList.Read(list.File).Title, ["list"] = true }),
                .. known.Recipes.DistinctBy(recipe => recipe.Name).Select(recipe =>
                    new JsonObject { ["name"] = recipe.Name, ["title"] = recipe.Title, ["list"] = false }),
            ]),
        };
    }

    private JsonObject Recipe(HttpContext context)
    {
        string name = context.Request.Query["name"].ToString();
        RequireName(name);
        var shop = bench.ShopFor(context.RequestAborted);
        if (ShowRecipe.FindList(name, null) is not { } list)
        {
            return new JsonObject { ["recipe"] = RecipeJson.Of(ShowRecipe.Find(shop, name, null)) };
        }

        var json = RecipeJson.Of(list);
        foreach (var (part, source) in ((JsonArray)json["recipes"]!).OfType<JsonObject>().Zip(list.Recipes))
        {
            part["parameters"] = RecipeJson.Parameters(shop.Compile(source, shop.Workers));
        }

        return new JsonObject { ["list"] = json };
    }

    private JsonObject Arts(string search)
    {
        var found = bench.Shelf.All().Where(art => art.Name.Contains(search.Trim(), StringComparison.OrdinalIgnoreCase)).ToList();
        return new JsonObject
        {
            ["arts"] = new JsonArray([.. found.Take(MostArts).Select(art =>
            {
                var file = new FileInfo(art.Path);
                return new JsonObject
                {
                    ["id"] = art.Id, ["folder"] = art.Folder, ["name"] = art.Name, ["bytes"] = file.Exists ? file.Length : 0,
                    ["modified"] = file.LastWriteTimeUtc.ToString("yyyy-MM-ddTHH:mm:ssZ", CultureInfo.InvariantCulture),
                    ["worked"] = File.Exists(WorkPath.Of(art.Path, options.WorkFolder)),
                };
            })]),
            ["more"] = Math.Max(0, found.Count - MostArts),
        };
    }

    private async Task<JsonObject> Drop(HttpContext context)
    {
        context.Features.Get<IHttpMaxRequestBodySizeFeature>()!.MaxRequestBodySize = ArtShelf.Largest;
        string path = bench.Shelf.PathFor(int.Parse(Route(context, "folder"), CultureInfo.InvariantCulture), Route(context, "name"));
        return new JsonObject { ["id"] = (await DroppedFile.Take(context.Request, path, bench.Shelf).ConfigureAwait(false)).Id };
    }

    private async Task Tiles(HttpContext context)
    {
        var ask = await Answer.Read(context.Request).ConfigureAwait(false);
        var pictures = bench.PicturesOf(Word(ask, "of"));
        var picture = pictures.Find(Word(ask, "picture") ?? "", Number(ask, "level") ?? 0)
            ?? throw new ProblemException(Codes.BadUsage, "There is no such picture.", "Reload the page.");
        var tiles = (ask["tiles"] as JsonArray ?? []).Take(MostTiles).Select(node => node is JsonValue value && value.TryGetValue(out int index) ? index : -1);
        context.Response.ContentType = "application/octet-stream";
        await TileStream.Write(context.Response.Body, picture, tiles, context.RequestAborted).ConfigureAwait(false);
    }

    private async Task Try(HttpContext context)
    {
        var ask = await Answer.Read(context.Request).ConfigureAwait(false);
        string tab = Word(ask, "tab") ?? "", recipe = Word(ask, "recipe") ?? "";
        RequireName(recipe);
        var request = new RecipeRequest(recipe) { Sets = [.. Pairs(ask, "values").Select(pair => $"{pair.Key}={pair.Value}")] };
        var guardrails = GuardrailText.Read([.. Pairs(ask, "guards").Select(pair => $"{pair.Key}={pair.Value}")]);
        var response = context.Response;
        response.ContentType = "application/x-ndjson";
        await Answer.WriteLine(response, Phase("waiting")).ConfigureAwait(false);
        try
        {
            var tried = await tabs.Run(
                tab, Number(ask, "turn"), end => bench.Try(Word(ask, "of"), request, guardrails, end), context.RequestAborted).ConfigureAwait(false);
            var last = tried is null ? Phase("replaced") : Phase("judged");
            if (tried is not null)
            {
                last["try"] = DeskJson.Of(tried);
            }

            await Answer.WriteLine(response, last).ConfigureAwait(false);
        }
        catch (Exception e) when (Answer.Problems(e) is { } problems)
        {
            var failed = DeskJson.Of(problems);
            failed["phase"] = "failed";
            await Answer.WriteLine(response, failed).ConfigureAwait(false);
        }
        catch (OperationCanceledException)
        {
            // Nobody waits for it any more.
            context.Abort();
        }
    }

    private JsonObject Export(string id, JsonObject ask)
    {
        string? token = Word(ask, "of");
        var (path, sha256) = bench.Export(id, token, Stem(ask), By(ask));
        return new JsonObject
        {
            ["export"] = new JsonObject { ["path"] = path, ["sha256"] = sha256 }, ["state"] = DeskJson.Of(bench.Refresh(id, token)),
        };
    }

    // Keep, export and ticket, in this order: a ticket is only ever of what was exported.
    private JsonObject Finish(string id, JsonObject ask)
    {
        string? token = Word(ask, "token");
        if (bench.IsTry(token))
        {
            token = bench.Keep(id, token, How(ask)).Token;
        }

        token = bench.WithWorkFile(id, token, By(ask));
        var (path, sha256) = bench.Export(id, token, Stem(ask), By(ask));
        string[] fields = [.. Pairs(ask, "ticket").Where(field => field.Value.Length > 0).Select(field => $"{field.Key}={field.Value}")];
        string ticket = bench.Ticket(id, token, Stem(ask), fields);
        return new JsonObject
        {
            ["export"] = new JsonObject { ["path"] = path, ["sha256"] = sha256 },
            ["ticket"] = new JsonObject { ["path"] = ticket },
            ["state"] = DeskJson.Of(bench.Refresh(id, token)),
        };
    }

    private KeepOptions How(JsonObject ask) => new(By(ask)) { Again = ask.Says("again") };

    // By its name, or as a list of orders in one of the folders names a file there.
    private void RequireName(string recipe)
    {
        if (!PlainName.Is(recipe) && !bench.Shelf.Holds(recipe))
        {
            throw new ProblemException(Codes.UnknownRecipe, "The page names recipes, not files.", "Choose one of the list.");
        }
    }

    // By its name: a file could lie anywhere.
    private static string? Setup(JsonObject ask) => Word(ask, "setup") is not { } name ? null
        : PlainName.Is(name) ? name : throw new ProblemException(Codes.UnknownSetup, "The page names garment setups, not files.", "Choose one of the list.");

    private static JsonObject Phase(string name) => new() { ["phase"] = name };

    private static string Route(HttpContext context, string name) => context.Request.RouteValues[name] as string ?? "";

    private static string? Word(JsonObject ask, string name) => ask.Text(name) is { Length: > 0 and <= LongestText } text ? text : null;

    private static int? Number(JsonObject ask, string name) => ask[name] is JsonValue value && value.TryGetValue(out int number) ? number : null;

    private string? By(JsonObject ask) => Word(ask, "by") ?? options.By ?? Settings.Read().By;

    // A name for files, from a list of orders; it becomes part of a path.
    private static string? Stem(JsonObject ask) => Word(ask, "stem") is { Length: <= 200 } stem && Path.GetFileName(stem) == stem && stem[0] != '.'
        && !stem.Contains('\\', StringComparison.Ordinal) && !stem.Any(char.IsControl) ? stem : null;

    private static IEnumerable<KeyValuePair<string, string>> Pairs(JsonObject ask, string name) => (ask.Object(name) ?? []).Take(MostValues)
        .Select(pair => KeyValuePair.Create(pair.Key, ask.Object(name).Text(pair.Key) is { Length: <= LongestText } text ? text : ""));
}
