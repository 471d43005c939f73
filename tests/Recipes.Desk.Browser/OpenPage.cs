using Microsoft.Playwright;

namespace Recipes.Desk.Tests;

/// <summary>A tab with the desk's page, which remembers whatever the page may not do.</summary>
internal sealed class OpenPage : IAsyncDisposable
{
    // Only what never comes is meant: a machine that has much else to do takes minutes for what one alone does in a second.
    public const float Patience = 600_000;

    private readonly IBrowserContext context;
    private readonly List<string> wrong = [];

    private OpenPage(IBrowserContext context, IPage page) => (this.context, Page) = (context, page);

    public IPage Page { get; }

    /// <summary>What the browser complained of: script errors, the page's policy, requests to elsewhere.</summary>
    public IReadOnlyList<string> Wrong => wrong;

    public ILocator Status => Page.Locator("#status");

    /// <summary>Opens a fresh link.</summary>
    public static async Task<OpenPage> Open(Chromium chromium, OpenDesk desk, string? code = null)
    {
        var context = await chromium.Browser.NewContextAsync(new BrowserNewContextOptions
        {
            ViewportSize = new ViewportSize { Width = 1366, Height = 768 }, ReducedMotion = ReducedMotion.Reduce,
        });
        context.SetDefaultTimeout(Patience);
        var opened = new OpenPage(context, await context.NewPageAsync());
        opened.Page.PageError += (_, error) => opened.wrong.Add(error);
        opened.Page.Console += (_, message) =>
        {
            // That something is refused is said to the person; the browser counts each such answer as an error, too.
            if (message.Type == "error" && !message.Text.StartsWith("Failed to load resource", StringComparison.Ordinal))
            {
                opened.wrong.Add(message.Text);
            }
        };
        opened.Page.Request += (_, request) =>
        {
            if (!request.Url.StartsWith(desk.Address.ToString(), StringComparison.Ordinal) && !request.Url.StartsWith("blob:", StringComparison.Ordinal))
            {
                opened.wrong.Add($"asks {request.Url}");
            }
        };
        await opened.Page.GotoAsync(new Uri(desk.Address, $"#code={code ?? desk.NewCode()}").ToString());
        return opened;
    }

    public ILocator Button(string name) => Page.GetByRole(AriaRole.Button, new PageGetByRoleOptions { Name = name, Exact = true });

    /// <summary>Opens an art from the list.</summary>
    public async Task Art(string name)
    {
        await Page.GetByRole(AriaRole.Link, new PageGetByRoleOptions { Name = "Open an art" }).ClickAsync();
        await Page.GetByText(name, new PageGetByTextOptions { Exact = true }).First.ClickAsync();
        await Page.GetByRole(AriaRole.Heading, new PageGetByRoleOptions { Name = name }).WaitForAsync();
    }

    /// <summary>Chooses a recipe and waits for its first try.</summary>
    public async Task Recipe(string title)
    {
        await Page.GetByRole(AriaRole.Button, new PageGetByRoleOptions { Name = title }).First.ClickAsync();
        await Judged();
    }

    /// <summary>Waits until what is shown is judged.</summary>
    public async Task Judged() => await Assertions.Expect(Button("Keep")).ToBeEnabledAsync(new LocatorAssertionsToBeEnabledOptions { Timeout = Patience });

    /// <summary>Keeps what is shown, and says who works where that is asked.</summary>
    public async Task Keep()
    {
        await Assertions.Expect(Button("Keep")).ToBeEnabledAsync(new LocatorAssertionsToBeEnabledOptions { Timeout = Patience });
        await Button("Keep").ClickAsync();
        await Who();
        await Assertions.Expect(Status).ToContainTextAsync("Kept as step", new LocatorAssertionsToContainTextOptions { Timeout = Patience });
    }

    /// <summary>Answers who works here, where the page asks.</summary>
    public async Task Who()
    {
        var dialog = Page.GetByRole(AriaRole.Dialog);
        if (await Page.Locator("#who").GetByText("works here").CountAsync() == 0)
        {
            await dialog.GetByRole(AriaRole.Textbox).FillAsync("night-shift");
            await dialog.GetByRole(AriaRole.Button, new LocatorGetByRoleOptions { Name = "Go on" }).ClickAsync();
        }
    }

    public static LocatorAssertionsToBeVisibleOptions Wait { get; } = new() { Timeout = Patience };

    public async ValueTask DisposeAsync() => await context.CloseAsync();
}
