"use strict";{
const D=JSON.parse(document.getElementById("data").textContent),all=(q,e=document)=>[...e.querySelectorAll(q)],
one=q=>document.querySelector(q),put=(e,t)=>{if(e)e.textContent=t},M=D.memory,low=2**M-1,
mask=b=>2**D.blocks[b][1]-1,choice=b=>s>>D.blocks[b][0]&mask(b),
at=(r,x)=>{while(r>=0)r=D.nodes[3*r+1+(x>>D.nodes[3*r]&1)];return~r},
word=(side,n)=>D.words[at(D.word[side][n],s)],sides=Object.keys(D.word),
to=(root,x)=>{const m=D.sets[at(root,x)];if(m.length){race=m;s=x&low|m[0]<<M}return m.length},
go=(b,way)=>{if(!way.length)note="Nothing moves it there from here.";
for(const c of way)if(!to(D.next,s&~(mask(b)<<D.blocks[b][0])|c<<D.blocks[b][0])){note="That cannot be together with the rest.";break}show()};
let s=D.start,race=[],note="",old={},first=1;
const lit=sides.flatMap(k=>all(`[data-of-side=${k}]`).flatMap(f=>all("[data-id],[data-of]",f)
.map(e=>[e,D.level[k][e.dataset.id||e.dataset.of]]).filter(p=>p[1]!==undefined))),
each=(q,f)=>sides.forEach(k=>all(`[data-of-side=${k}]`).forEach(g=>all(q,g).forEach(e=>f(e,k)))),
inputs=all("[data-input]").map(e=>[e,D.inputs.find(i=>i[0]==e.dataset.input),D.delays.find(d=>d[0]==e.dataset.input)]),
radios=all("[data-quantity]").map(e=>[e,D.quantities.find(q=>q[0]==e.dataset.quantity)]);
function show(){
const told=[],stands=[];
for(const[e,i,d]of inputs){let w;
if(i){e.checked=i[2][choice(i[1])]=="1";w=i[3][+e.checked]}
else{e.checked=sides.some(k=>d[0]in D.moved[k]&&at(D.moved[k][d[0]],s));e.disabled=!d[2].includes(s>>M);w=e.checked?"moved":"rest"}
put(e.closest("label").querySelector("[data-word]"),w);stands.push(`${(i||d)[0]} ${w}`)}
for(const[e,q]of radios){e.checked=q[2][choice(q[1])]==e.value;if(e.checked)stands.push(q[0]+" "+e.closest("label").textContent.trim())}
for(const[e,r]of lit)e.dataset.level=D.levels[at(r,s)];
each("[data-contact]",(e,k)=>e.dataset.shut=at(D.shut[k][e.dataset.contact],s));
each("[data-is]",(e,k)=>{const w=word(k,e.dataset.is);e.dataset.does=/^(on|runs|in)$/.test(w)?"works":/^(off|out)$/.test(w)?"still":"odd"});
each("[data-does-of]",(e,k)=>{const w=word(k,e.dataset.doesOf);put(e,/^(on|runs|in|off|out)$/.test(w)?"":w)});
for(const e of all("[data-load],[data-relay]")){const k=e.dataset.side,n=e.dataset.load||e.dataset.relay,w=word(k,n),key=k+n;
put(e,w);if(!first&&old[key]!=w)told.push(n+" "+w+(sides[1]?" "+k:""));old[key]=w}
const differs=[];
for(const r of all("[data-pair]")){const[a,b]=all("[data-side]",r).map(e=>e.textContent),d=a!=b;r.classList.toggle("differs",d);
if(d)differs.push(`${r.dataset.pair} ${a} before, ${b} after`)}
if(sides[1])put(one("#differs"),differs.length?`In this state: ${differs.join("; ")}. All else does as before.`:"In this state every load and relay does as before.");
put(one("#stands"),stands.join(", "));
const box=one("#race");box.hidden=race.length<2;
if(race.length>1){const seen=race.map(m=>Object.keys(D.word[sides.at(-1)]).map(n=>[n,D.words[at(D.word[sides.at(-1)][n],s&low|m<<M)]])),
vary=seen[0].map((p,j)=>seen.some(x=>x[j][1]!=p[1])),list=box.querySelector("div");
list.replaceChildren(...race.map((m,j)=>{const l=document.createElement("label"),i=document.createElement("input");
i.type="radio";i.name="race";i.checked=m==s>>M;i.onchange=()=>{s=s&low|m<<M;show();all("input",list)[j].focus()};
l.append(i," ",seen[j].filter((_,x)=>vary[x]).map(p=>p.join(" ")).join(", ")||"the other way "+(j+1));return l}))}
if(!first)put(one("#status"),[note,told.length?"Now: "+told.join("; ")+".":note?"":"No load changes.",race.length>1?"The order of relays decides: see below.":""].filter(x=>x).join(" "));
note="";first=0}
for(const[e,i,d]of inputs)e.onchange=()=>{if(i)go(i[1],i[4][choice(i[1])]);else{to(d[1],s);show()}};
for(const[e,q]of radios)e.onchange=()=>go(q[1],q[3][e.value][choice(q[1])]);
one("#power").onclick=()=>{to(D.power,s);show()};
for(const e of all("[data-jump]"))e.onclick=()=>{s=D.jumps[e.dataset.jump];race=[];show();one("#switches").scrollIntoView();one("#differs").focus({preventScroll:true})};
for(const e of all("[data-live]"))e.hidden=false;
show();
}
