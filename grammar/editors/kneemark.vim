" Vim syntax file for records of kneemark.
" Made of the registers of kneemark: EDITORS_REFRESH=1 cargo test highlighting
if exists("b:current_syntax")
  finish
endif
syntax case match
syntax match kneemarkWord /\v[[:alnum:]_-]@<!%(protection\ and\ metering|degree\-of\-protection|secondary\ injection|radio\-interference|short\-time\-current|leakage\-reactance|lightning\-impulse|primary\ injection|switching\-impulse|remanence\-factor|temperature\-rise|composite\-error|ratio\-and\-phase|security\-factor|transient\-error|oil\ and\ paper|phase\-neutral|wet\-withstand|disconnected|down\ on\ make|single\-phase|phase\-earth|phase\-phase|broke\-down|cast\ resin|comparison|protection|up\ on\ make|aluminium|as\ marked|capacitor|connected|estimated|L1\ L2\ L3|L1\ L3\ L2|as\ found|isolated|metering|reversed|C\-O\-C\-O|as\ left|cabinet|contact|cubicle|current|earthed|in\-zone|lagging|leading|shorted|through|tripped|unknown|voltage|30\ deg|45\ deg|broken|closed|copper|failed|passed|retest|10\/50|A\ B\ C|A\ C\ B|C1\ C2|H1\ H2|P1\ P2|kiosk|panel|phase|relay|spare|visit|full|held|kick|load|mean|none|open|peak|tank|yard|zero|C\-O|K\ L|air|box|dry|gas|oil|rms|yes|L1|L2|L3|ac|dc|no|A|B|C|N)[[:alnum:]_-]@!/
syntax match kneemarkUnit contained /\v%(arcmin|mohm\/m|ohm\/km|µohm|µrad|µΩ|Ω\/km|μohm|μrad|μΩ|Gohm|GΩ|Mohm|MΩ|Tohm|TΩ|crad|degC|degF|kohm|kΩ|mm²|mohm|mrad|mΩ|uohm|urad|uΩ|µΩ|μΩ|GΩ|MVA|MΩ|TΩ|deg|kHz|kVA|kΩ|mHz|mVA|min|mm2|mΩ|ohm|ppm|rad|uΩ|°C|°F|µA|µF|µH|µV|µs|μA|μF|μH|μV|μs|′|Ω|Hz|MV|VA|cm|ft|kA|kH|kV|km|mA|mH|mV|mm|ms|nA|nC|nF|nV|pC|pF|uA|uF|uH|uV|us|°|Ω|\%|A|C|H|V|h|m|s)/
syntax match kneemarkNumber /\v[[:alnum:]_.-]@<![<>≥≤+-]?\d+%(\.\d+)?[[:alnum:]_.]@!/
syntax match kneemarkQuantity /\v[[:alnum:]_.-]@<![<>≥≤+-]?\d+%(\.\d+)?\s*%(arcmin|mohm\/m|ohm\/km|µohm|µrad|µΩ|Ω\/km|μohm|μrad|μΩ|Gohm|GΩ|Mohm|MΩ|Tohm|TΩ|crad|degC|degF|kohm|kΩ|mm²|mohm|mrad|mΩ|uohm|urad|uΩ|µΩ|μΩ|GΩ|MVA|MΩ|TΩ|deg|kHz|kVA|kΩ|mHz|mVA|min|mm2|mΩ|ohm|ppm|rad|uΩ|°C|°F|µA|µF|µH|µV|µs|μA|μF|μH|μV|μs|′|Ω|Hz|MV|VA|cm|ft|kA|kH|kV|km|mA|mH|mV|mm|ms|nA|nC|nF|nV|pC|pF|uA|uF|uH|uV|us|°|Ω|\%|A|C|H|V|h|m|s)[[:alnum:]_\/²]@!/ contains=kneemarkUnit,kneemarkDigits
syntax match kneemarkDigits contained /\v[<>≥≤+-]?\d+%(\.\d+)?/
syntax match kneemarkDate /\v[[:alnum:]_.-]@<!\d{4}-\d{2}-\d{2}[[:alnum:]_-]@!/
syntax match kneemarkTerminals /\v[[:alnum:]_.-]@<!\d*\a+\d+-\d*\a+\d+[[:alnum:]_-]@!/
syntax match kneemarkHeading /\v[[:alnum:]_-]@<!%(deflection\ on\ make|held\ or\ broke\-down|passed\ or\ failed|grounds\ counted|terminals\ tight|closed\ or\ open|earths\ counted|tap\ in\ service|capacitance|certificate|deflection|in\ service|relays\ out|resistance|star\ point|frequency|ground\ at|may\ serve|secondary|signed\ by|tan\-delta|earth\ at|exciting|position|put\ back|restrain|SHA\-256|applied|between|current|induced|operate|primary|reading|voltage|burden|charge|factor|ground|phases|remark|result|after|angle|class|earth|error|input|links|phase|rated|ratio|shows|stage|start|state|core|date|file|item|knee|loop|main|pair|peak|read|star|test|time|end|for|tap|at|of|on)\/%(arcmin|mohm\/m|ohm\/km|µohm|µrad|µΩ|Ω\/km|μohm|μrad|μΩ|Gohm|GΩ|Mohm|MΩ|Tohm|TΩ|crad|degC|degF|kohm|kΩ|mm²|mohm|mrad|mΩ|uohm|urad|uΩ|µΩ|μΩ|GΩ|MVA|MΩ|TΩ|deg|kHz|kVA|kΩ|mHz|mVA|min|mm2|mΩ|ohm|ppm|rad|uΩ|°C|°F|µA|µF|µH|µV|µs|μA|μF|μH|μV|μs|′|Ω|Hz|MV|VA|cm|ft|kA|kH|kV|km|mA|mH|mV|mm|ms|nA|nC|nF|nV|pC|pF|uA|uF|uH|uV|us|°|Ω|\%|A|C|H|V|h|m|s)[[:alnum:]_\/]@!/ contains=kneemarkColumn,kneemarkUnit
syntax match kneemarkColumn contained /\v%(deflection\ on\ make|held\ or\ broke\-down|passed\ or\ failed|grounds\ counted|terminals\ tight|closed\ or\ open|earths\ counted|tap\ in\ service|capacitance|certificate|deflection|in\ service|relays\ out|resistance|star\ point|frequency|ground\ at|may\ serve|secondary|signed\ by|tan\-delta|earth\ at|exciting|position|put\ back|restrain|SHA\-256|applied|between|current|induced|operate|primary|reading|voltage|burden|charge|factor|ground|phases|remark|result|after|angle|class|earth|error|input|links|phase|rated|ratio|shows|stage|start|state|core|date|file|item|knee|loop|main|pair|peak|read|star|test|time|end|for|tap|at|of|on)\ze\//
syntax match kneemarkKey /\v^\s*%(temperature\ of\ the\ winding|primary\ time\ constant|excitation\ read\ from|second\ accuracy\ time|loop\ time\ constant|primary\ resistance|turns\ compensation|exciting\ current|lead\ temperature|remanence\ factor|highest\ voltage|lead\ resistance|permit\ returned|primary\ current|required\ factor|angles\ against|first\ duration|tap\ in\ service|temperature\ by|accuracy\ time|authorised\ by|fault\ current|primary\ angle|primary\ links|primary\ marks|primary\ turns|rating\ factor|required\ knee|knee\ voltage|lead\ returns|lead\ section|permit\ until|relay\ burden|witnessed\ by|certificate|lead\ length|low\ leakage|other\ cores|reviewed\ by|temperature|checked\ by|deflection|duty\ cycle|inductance|instrument|insulation|p1\ towards|ratio\ of\ 1|resistance|conductor|dead\ time|deviation|frequency|knee\ rule|prestress|procedure|reference|remanence|spare\ for|tested\ by|voltmeter|duration|extended|humidity|knee\ emf|position|rotation|standard|ambient|neutral|plus\ on|primary|purpose|weather|action|angles|burden|closed|fed\ by|format|method|outage|passes|permit|result|serial|asset|class|ended|fault|guard|leads|limit|links|maker|marks|phase|range|ratio|stage|start|taken|turns|wires|Idyn|crew|kssc|like|mRID|mrid|note|rule|site|time|type|unit|year|zone|BIL|Ith|bay|end|job|ktd|set|use|x\/r|id)\ze:%(\s|$)/
syntax match kneemarkAside /\v^\s*%(not done\ze%([ \t:]|$)|amended:)/
syntax match kneemarkOdd /\v^\s*\[\s*\zs[^\] \t]*/
syntax match kneemarkSection /\v^\s*\[\s*\zs%(dissipation\-factor|primary\-resistance|partial\-discharge|demagnetisation|demagnetization|ratio\-setting|single\-earth|attachments|continuity|excitation|inspection|insulation|inter\-turn|resistance|self\-check|test\-links|injection|remanence|stability|type\-test|withstand|polarity|restored|sign\-off|burden|place|ratio|state|visit|core|duty|load|ct)\ze%([ \t\]]|$)/
syntax match kneemarkRemark /\v[ \t]\zs#%(\s.*)?$/
syntax match kneemarkRemark /\v^\s*#.*$/
highlight default link kneemarkWord Constant
highlight default link kneemarkUnit Type
highlight default link kneemarkNumber Number
highlight default link kneemarkDigits Number
highlight default link kneemarkDate Constant
highlight default link kneemarkTerminals Identifier
highlight default link kneemarkColumn Statement
highlight default link kneemarkKey Statement
highlight default link kneemarkAside PreProc
highlight default link kneemarkOdd Error
highlight default link kneemarkSection Keyword
highlight default link kneemarkRemark Comment
let b:current_syntax = "kneemark"
